"""Moves the hand-set costs of introductions by what an editor brackets.

``python benchmarks/introductions/learn.py`` prints the costs that a fit on half of the tunes
gives; rounded to one decimal they stand in ``tables/introduction.toml``. The fit is a choice
model: the candidates' chances fall exponentially with their cost, and it maximises the chance
of those that overlap the bracket by half. The hand-set costs are its prior: one editor shall
lean on the trade's rules, not replace them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from bracketed import HALF, Bracketed, bracketed_hymns, by_notes, by_time, halves, spans_of
from numpy.typing import NDArray
from scipy.optimize import minimize

from suspirium.service.introductions.candidates import Pieces, candidates
from suspirium.service.introductions.costs import Judge
from suspirium.service.introductions.propose import shape_of

BY_HAND = {
    "end.open_harmony": 6.0,
    "end.open_melody": 1.0,
    "end.section": 2.0,
    "end.inside": 5.0,
    "start.inside": 2.0,
    "start.leans": 1.0,
    "start.harmony": 0.5,
    "join.any": 2.0,
    "join.leap": 0.2,
    "length.short": 1.0,
    "length.long": 2.0,
    "length.second": 0.1,
    "tune.few_notes": 0.7,
    "tune.no_opening": 0.3,
    "pulse.few": 0.5,
}
STRENGTH = 3.0  # of the prior; its spread is a hand-set cost itself, but never below LEAST
LEAST = 0.3

Costs = NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """One hymn's candidates: their counts, shapes and overlaps with the bracket."""

    hymn: Bracketed
    counts: NDArray[np.float64]
    shapes: tuple[str, ...]
    notes: NDArray[np.float64]
    time: NDArray[np.float64]


def case(hymn: Bracketed) -> Case:
    found: tuple[Pieces, ...] = candidates(hymn.tune)
    judge = Judge(hymn.tune)
    counts = [[judge.counts(pieces)[name] for name in BY_HAND] for pieces in found]
    return Case(
        hymn,
        np.array(counts),
        tuple(shape_of(hymn.tune, pieces) for pieces in found),
        np.array([by_notes(hymn.tune, spans_of(p), hymn.spans) for p in found]),
        np.array([by_time(hymn.tune, spans_of(p), hymn.spans) for p in found]),
    )


def by_hand() -> Costs:
    return np.array(list(BY_HAND.values()))


def fit(cases: Sequence[Case]) -> Costs:
    """The costs of greatest posterior chance; none is negative."""
    prior = by_hand()
    spread = np.maximum(prior, LEAST) / np.sqrt(STRENGTH)

    def loss(costs: Costs) -> tuple[float, Costs]:
        away = (costs - prior) / spread
        value, slope = float(away @ away) / 2, away / spread
        for one in cases:
            good = one.notes >= HALF
            if good.any():
                chance = _softmax(-one.counts @ costs)
                right = chance * good
                value -= float(np.log(right.sum()))
                slope = slope + (right / right.sum() - chance) @ one.counts
        return value, slope

    bounds = [(0.0, None)] * len(prior)
    found = minimize(loss, prior, jac=True, method="L-BFGS-B", bounds=bounds)
    return np.asarray(found.x, float)


def ranked(one: Case, costs: Costs) -> list[int]:
    """The candidates as they are proposed: of each shape the cheapest, best first."""
    seen: dict[str, int] = {}
    for index in np.argsort(one.counts @ costs, kind="stable"):
        seen.setdefault(one.shapes[index], int(index))
    return list(seen.values())


def _softmax(scores: NDArray[np.float64]) -> NDArray[np.float64]:
    raised = np.exp(scores - scores.max())
    return np.asarray(raised / raised.sum(), float)


def main() -> None:
    learning, _ = halves(list(bracketed_hymns()))
    for name, cost in zip(BY_HAND, fit([case(hymn) for hymn in learning]), strict=True):
        print(f"{name:18} {BY_HAND[name]:4.1f} -> {cost:.1f}")


if __name__ == "__main__":
    main()
