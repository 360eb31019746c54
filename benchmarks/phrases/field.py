"""A conditional random field over segmentations: weights of ends, lines and line lengths.

The probability of a segmentation is proportional to exp(sum of the scores of its ends and
lines); sums over all segmentations are taken by dynamic programming (semi-Markov model,
Sarawagi & Cohen 2004), and the penalised likelihood of the true ones is maximised.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from suspirium.plan.phrases.segment import LONGEST, Array

END_SPREAD = 0.0001  # variance a priori of the standardised weights of ends, for each melody
LINE_SPREAD = 0.0003  # the same for features of lines
LENGTH_SPREAD = 0.3  # and for line lengths, about their logarithms
ROUNDS = 200
MOST, LEAST = 40.0, -60.0  # scores are kept within these bounds while learning


@dataclass(frozen=True)
class Piece:
    """One melody to learn from: columns of ends (n - 1, features), features of lines
    (n, LONGEST + 1, features), the true cuts from 0 to n, and how much it counts."""

    ends: Array
    lines: Array
    cuts: tuple[int, ...]
    count: float = 1.0


@dataclass(frozen=True)
class Field:
    """Learnt weights, unscaled."""

    ends: Array
    intercept: float
    lines: Array
    lengths: Array


class _Batch:
    """All pieces in arrays (piece, end, units), padded to the longest melody."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        self.units = np.array([len(p.ends) + 1 for p in pieces])
        size = int(self.units.max())
        shape = (len(pieces), size + 1)
        self.inner = np.zeros(shape, dtype=bool)
        self.valid = np.zeros((*shape, LONGEST + 1), dtype=bool)
        self.truth = np.zeros((*shape, LONGEST + 1))
        lines = np.zeros((*shape, LONGEST + 1, pieces[0].lines.shape[-1]), dtype=np.float32)
        for row, (piece, count) in enumerate(zip(pieces, self.units, strict=True)):
            self.inner[row, 1:count] = True
            for m in range(1, min(LONGEST, count) + 1):
                self.valid[row, m : count + 1, m] = True
                lines[row, m : count + 1, m] = piece.lines[: count - m + 1, m]
            for begin, end in zip(piece.cuts, piece.cuts[1:], strict=False):
                self.truth[row, end, min(LONGEST, end - begin)] += piece.count
        ends = np.vstack([p.ends for p in pieces])
        self.mean, self.end_scale = ends.mean(0), ends.std(0) + 1e-6
        self.ends = (ends - self.mean) / self.end_scale
        flat = lines[self.valid].astype(np.float64)
        self.line_scale = flat.std(0) + 1e-6
        self.lines = flat / self.line_scale
        self.counts = np.array([p.count for p in pieces])
        _, self.units_of = np.nonzero(self.valid.reshape(-1, LONGEST + 1))
        self.end_of = np.nonzero(self.valid)[:2]


def learn_field(pieces: Sequence[Piece], lengths: Array) -> Field:
    """The weights, given logarithms of the usual line lengths (LONGEST + 1)."""
    batch = _Batch(pieces)
    sizes = (batch.ends.shape[1], batch.lines.shape[1], LONGEST + 1, 1)
    known = batch.counts.sum()
    spreads = [END_SPREAD * known, LINE_SPREAD * known, LENGTH_SPREAD, np.inf]
    variance = np.repeat(spreads, sizes)
    parts = np.cumsum(sizes)[:-1]

    def loss(at: Array) -> tuple[float, Array]:
        ends, lines, units, bias = np.split(at, parts)
        score = np.full(batch.valid.shape, LEAST)
        inner = np.zeros(batch.inner.shape)
        inner[batch.inner] = batch.ends @ ends + bias
        score[batch.valid] = (
            batch.lines @ lines + (lengths + units)[batch.units_of] + inner[batch.end_of]
        )
        total, chance = _expected(batch, score)
        excess = chance * batch.counts[:, None, None] - batch.truth
        value = batch.counts @ total - (batch.truth * score).sum() + (at**2 / variance).sum() / 2
        at_ends = excess.sum(2)[batch.inner]
        slope = np.concatenate(
            [
                at_ends @ batch.ends,
                excess[batch.valid] @ batch.lines,
                excess.sum((0, 1)),
                [at_ends.sum()],
            ]
        )
        return float(value), slope + at / variance

    start = np.zeros(sum(sizes))
    best = minimize(
        loss,
        start,
        jac=True,
        method="L-BFGS-B",
        options={"maxiter": ROUNDS, "ftol": 1e-6, "gtol": 1e-3},
    ).x
    ends, lines, units, bias = np.split(best, parts)
    ends = ends / batch.end_scale
    return Field(
        ends, float(bias[0] - batch.mean @ ends), lines / batch.line_scale, lengths + units
    )


def _expected(batch: _Batch, score: Array) -> tuple[Array, Array]:
    """Log of the sum over all segmentations of each piece, and the chance of each line."""
    pieces, size = batch.inner.shape[0], batch.inner.shape[1] - 1
    power = np.exp(np.clip(score, LEAST, MOST))
    power[~batch.valid] = 0
    ahead = np.zeros((pieces, size + 1 + LONGEST))
    ahead[:, LONGEST] = 1
    backwards: NDArray[np.float64] = np.ascontiguousarray(power[:, :, :0:-1])
    for end in range(1, size + 1):
        ahead[:, LONGEST + end] = np.einsum(
            "bm,bm->b", ahead[:, end : end + LONGEST], backwards[:, end]
        )
    rows = np.arange(pieces)
    total = ahead[rows, LONGEST + batch.units]
    onward = np.zeros((pieces, size + 1, LONGEST + 1))
    for m in range(1, LONGEST + 1):
        onward[:, : size + 1 - m, m] = power[:, m:, m]
    behind = np.zeros((pieces, size + 1 + LONGEST))
    behind[rows, batch.units] = 1
    for begin in range(size - 1, -1, -1):
        reach = behind[:, begin + 1 : begin + 1 + LONGEST]
        behind[:, begin] += np.einsum("bm,bm->b", reach, onward[:, begin, 1:])
    for m in range(1, LONGEST + 1):
        power[:, m:, m] *= ahead[:, LONGEST : LONGEST + size + 1 - m]
    power *= (behind[:, : size + 1] / total[:, None])[:, :, None]
    return np.log(total), power
