"""Tunes alike, in other keys or rhythms: melodies aligned tone by tone.

Aligned over the whole of both (Needleman and Wunsch 1970, J. Mol. Biol. 48), tones weighed
by the square root of their length, in the transposition that brings most together. One
melody is compared with many at a time, so that a hymnal of a thousand answers at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from suspirium.repertoire.melody import Melody
from suspirium.tables import load

Array = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

_OCTAVE = 12
_SHIFTS = 3  # transpositions tried


def likeness(one: Melody, other: Melody) -> float:
    """How alike two melodies are, 0 to 1, in the best transposition of one to the other."""
    return likenesses(one, [other])[0]


def likenesses(one: Melody, others: Sequence[Melody]) -> list[float]:
    """How alike a melody is to each of the others, 0 to 1.

    A tune written twice within a stanza is the tune: where one melody has about twice as
    many tones as the other, the other is taken twice as well.
    """
    found = _compared(one, others)
    count = len(one.keys)
    longer = [i for i, other in enumerate(others) if _twice_as_long(count, len(other.keys))]
    shorter = [i for i, other in enumerate(others) if _twice_as_long(len(other.keys), count)]
    for i, value in zip(longer, _compared(_twice(one), [others[i] for i in longer]), strict=True):
        found[i] = max(found[i], value)
    doubled = _compared(one, [_twice(others[i]) for i in shorter])
    for i, value in zip(shorter, doubled, strict=True):
        found[i] = max(found[i], value)
    return found


def _twice_as_long(short: int, long: int) -> bool:
    slack = load("repertoire").number("alike.doubled")
    return abs(long - 2 * short) <= slack * long


def _twice(melody: Melody) -> Melody:
    return Melody(melody.keys * 2, melody.lengths_q * 2, melody.degrees * 2)


def _compared(one: Melody, others: Sequence[Melody]) -> list[float]:
    if not one.keys:
        return [0.0] * len(others)
    told = [i for i, other in enumerate(others) if other.keys]
    found = [0.0] * len(others)
    if told:
        second = _Row([others[i] for i in told])
        shifts = _shifts(one.keys, [others[i].keys for i in told])
        for rank in range(_SHIFTS):
            for i, value in zip(told, _aligned(one, second, shifts[:, rank]), strict=True):
                found[i] = max(found[i], value)
    return found


class _Row:
    """Melodies side by side, padded to the longest: pitch classes and weights (count, tones)."""

    def __init__(self, melodies: Sequence[Melody]) -> None:
        size = max(len(melody.keys) for melody in melodies)
        self.keys = np.full((len(melodies), size), -1)
        self.weights = np.zeros((len(melodies), size))
        for row, melody in enumerate(melodies):
            self.keys[row, : len(melody.keys)] = np.array(melody.keys) % _OCTAVE
            self.weights[row, : len(melody.keys)] = _weights(melody.lengths_q)


def _shifts(one: Sequence[int], others: Sequence[Sequence[int]]) -> Integers:
    """The transpositions, best first, that bring the most equal tones together by their
    histograms, shape (others, 12)."""
    mine = np.bincount([key % _OCTAVE for key in one], minlength=_OCTAVE) / len(one)
    theirs = np.array(
        [np.bincount(np.array(keys) % _OCTAVE, minlength=_OCTAVE) / len(keys) for keys in others]
    )
    together = [np.minimum(np.roll(mine, shift), theirs).sum(axis=1) for shift in range(_OCTAVE)]
    # The sums are rounded, so that equal ones keep the order of the shifts.
    return np.argsort(-np.round(np.array(together).T, 6), axis=1, kind="stable")


def _aligned(one: Melody, others: _Row, shifts: Integers) -> Array:
    """Likeness of the best alignments: 1 less their cost against that of nothing in common."""
    table = load("repertoire")
    gap, other_cost, step_cost = (
        table.number(f"alike.{name}") for name in ("gap", "other", "step")
    )
    weight = _weights(one.lengths_q)
    gaps = gap * others.weights
    so_far = np.concatenate([np.zeros((len(gaps), 1)), np.cumsum(gaps, axis=1)], axis=1)
    row = so_far
    for key, own in zip(one.keys, weight, strict=True):
        apart = np.abs((key + shifts[:, None]) % _OCTAVE - others.keys)
        apart = np.minimum(apart, _OCTAVE - apart)
        price = np.where(apart == 0, 0.0, np.where(apart <= 2, step_cost, other_cost))
        price = price * (own + others.weights) / 2
        price[others.keys < 0] = np.inf
        down = row + gap * own
        down[:, 1:] = np.minimum(down[:, 1:], row[:, :-1] + price)
        # Gaps in the other melody: a running minimum of the cost less the gaps so far.
        row = np.minimum.accumulate(down - so_far, axis=1) + so_far
    most = gap * (weight.sum() + others.weights.sum(axis=1))
    return np.asarray(1 - row[:, -1] / most)


def _weights(lengths_q: Sequence[Fraction]) -> Array:
    """Square roots of the lengths in mean lengths: the same tune in half notes weighs the same."""
    lengths = np.array([float(length) for length in lengths_q])
    return np.asarray(np.sqrt(lengths / lengths.mean()))
