"""Choosing the visits of the whole week: the best readiness under the minutes.

Each passage takes one of its ways to spread visits over the days; rows tie them together
(minutes a day, new hymns early, ...). The linear relaxation is solved by column generation
(Gilmore & Gomory 1961), every way of every passage priced each round: its value bounds
what any choice can reach. The choice itself is a mixed integer programme over the ways
whose reduced cost lets them be in a better one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from suspirium.practice.readiness import Floats, Ints
from suspirium.tables import load

_ROUNDS = 60
_BEST = 3  # ways of each passage that enter in a round
_EPSILON = 1e-9
_FIRST = 8  # ways of each passage, on average, that the first programme takes in
_MOST = 150  # ways of each passage, on average, that the last programme takes in
_MISSED = 1e3  # price of a row not kept, while ways are still being found


@dataclass(frozen=True, slots=True)
class Column:
    """All ways of one passage: visits, shape (ways, days), and their value each."""

    visits: Ints
    values: Floats


@dataclass(frozen=True, slots=True)
class Row:
    """A limit: the sum of `per_visit[passage, day]` times visits, plus `extras`, at most
    `limit`."""

    per_visit: Floats
    limit: float
    extras: tuple[tuple[int, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """The way chosen for each passage, the value, and what no choice can exceed."""

    ways: tuple[int, ...]
    value: float
    bound: float


def choose(
    columns: Sequence[Column], rows: Sequence[Row], extras: int = 0, gap: float = 0.0
) -> Choice | None:
    """The ways of greatest total value; None if none keep all rows.

    `extras` is the number of yes-or-no variables that the rows mention. The search ends where
    the choice is proved to be within `gap` of the best.
    """
    relaxed = _Relaxed(columns, rows, extras)
    bound = relaxed.solve()
    # The few ways next to the bound usually hold a good choice; they may also hold none.
    inside = relaxed.nearest(_FIRST)
    found = _whole(columns, rows, extras, inside, bound, gap)
    while True:
        if found is None:
            inside = _merged(inside, relaxed.inside)
            found = _whole(columns, rows, extras, inside, bound, gap)
        if found is None:
            return None
        ways, value, reached = found
        merged = _merged(inside, relaxed.within(bound - value - gap / 2))
        if merged == inside:  # what is left out is no better by half
            reached = max(reached, value + gap / 2)
            return Choice(tuple(ways), value, max(value, min(bound, reached)))
        if bound - value <= gap or sum(map(len, merged)) > _MOST * len(columns):
            return Choice(tuple(ways), value, max(value, bound))
        inside = merged
        found = _whole(columns, rows, extras, inside, bound, gap)


def _merged(some: Sequence[Sequence[int]], others: Sequence[Sequence[int]]) -> list[list[int]]:
    return [sorted({*a, *b}) for a, b in zip(some, others, strict=True)]


class _Relaxed:
    """The linear relaxation, and the prices it leaves."""

    def __init__(self, columns: Sequence[Column], rows: Sequence[Row], extras: int) -> None:
        self._columns, self._rows, self._extras = columns, rows, extras
        shape = len(rows), len(columns), columns[0].visits.shape[1]
        self._per_visit = np.array([row.per_visit for row in rows]).reshape(shape)
        # No visit or one: with these every row can be kept.
        self.inside = [np.flatnonzero(c.visits.sum(axis=1) <= 1).tolist() for c in columns]
        self._reduced: list[Floats] = []

    def solve(self) -> float:
        """Adds ways until none is worth more than the prices; the relaxation's value."""
        bound = np.inf
        for _ in range(_ROUNDS):
            found = _linear(self._columns, self._rows, self._extras, self.inside)
            prices, own, value = found
            self._reduced = self._priced(prices, own)
            gains = sum(max(0.0, float(reduced.max())) for reduced in self._reduced)
            bound = min(bound, value + gains)
            if gains <= _EPSILON:
                break
            for inside, reduced in zip(self.inside, self._reduced, strict=True):
                best = np.argsort(-reduced, kind="stable")[:_BEST]
                inside.extend(int(way) for way in best if reduced[way] > _EPSILON / 10)
        self.inside = [sorted(set(inside)) for inside in self.inside]
        return float(bound)

    def _priced(self, prices: Floats, own: Floats) -> list[Floats]:
        paid = np.tensordot(prices, self._per_visit, 1)  # by passage and day
        return [
            column.values - column.visits @ paid[i] - own[i]
            for i, column in enumerate(self._columns)
        ]

    def nearest(self, count: int) -> list[list[int]]:
        """The ways of least reduced cost, `count` for each passage on average."""
        every = np.sort(np.concatenate(self._reduced))[::-1]
        return self.within(-float(every[: count * len(self._columns)][-1]))

    def within(self, distance: float) -> list[list[int]]:
        """The ways of each passage that can be part of a choice so far from the bound."""
        return [
            np.flatnonzero(reduced >= -max(distance, 0.0) - _EPSILON).tolist()
            for reduced in self._reduced
        ]


@dataclass(frozen=True, slots=True)
class _Programme:
    """Costs and constraints over the chosen ways and the extras."""

    cost: Floats
    limits: Floats
    most: Floats
    one_each: Floats


def _programme(
    columns: Sequence[Column],
    rows: Sequence[Row],
    extras: int,
    inside: Sequence[Sequence[int]],
) -> _Programme:
    count = sum(map(len, inside))
    cost = np.concatenate(
        [*(-columns[i].values[ways] for i, ways in enumerate(inside)), np.zeros(extras)]
    )
    limits = np.zeros((len(rows), count + extras))
    one_each = np.zeros((len(columns), count + extras))
    at = 0
    for i, ways in enumerate(inside):
        span = slice(at, at + len(ways))
        one_each[i, span] = 1
        visits = columns[i].visits[ways]
        for r, row in enumerate(rows):
            limits[r, span] = visits @ row.per_visit[i]
        at += len(ways)
    for r, row in enumerate(rows):
        for extra, factor in row.extras:
            limits[r, count + extra] = factor
    return _Programme(cost, limits, np.array([row.limit for row in rows]), one_each)


def _linear(
    columns: Sequence[Column],
    rows: Sequence[Row],
    extras: int,
    inside: Sequence[Sequence[int]],
) -> tuple[Floats, Floats, float]:
    """Prices of the rows, of the passages, and the value of the relaxation."""
    made = _programme(columns, rows, extras, inside)
    # A row that the empty week breaks (new hymns early) may be missed at a high price.
    slack = np.eye(len(rows))[:, made.most < 0] * -1
    cost = np.concatenate((made.cost, np.full(slack.shape[1], _MISSED)))
    found = linprog(
        cost,
        A_ub=np.hstack((made.limits, slack)),
        b_ub=made.most,
        A_eq=np.hstack((made.one_each, np.zeros((len(columns), slack.shape[1])))),
        b_eq=np.ones(len(columns)),
        bounds=[(0, 1)] * len(made.cost) + [(0, None)] * slack.shape[1],
        method="highs",
    )
    prices: NDArray[np.float64] = np.asarray(-found.ineqlin.marginals)
    own: NDArray[np.float64] = np.asarray(-found.eqlin.marginals)
    return prices, own, -float(found.fun or 0.0)


def _whole(
    columns: Sequence[Column],
    rows: Sequence[Row],
    extras: int,
    inside: Sequence[Sequence[int]],
    bound: float,
    gap: float,
) -> tuple[list[int], float, float] | None:
    """One way for each passage, the value, and what these ways can't exceed; near `bound`, the
    search ends where it is close enough."""
    made = _programme(columns, rows, extras, inside)
    table = load("practice")
    found = milp(
        made.cost,
        integrality=np.ones(len(made.cost), dtype=np.int64),
        bounds=Bounds(0, 1),
        constraints=[
            LinearConstraint(made.limits, -np.inf, made.most),
            LinearConstraint(made.one_each, 1, 1),
        ],
        options={
            "node_limit": int(table["choose.nodes"]),
            "mip_rel_gap": float(gap / 2 / max(abs(bound), _EPSILON)),
            "presolve": True,
        },
    )
    if found.x is None:
        return None
    taken = found.x[: sum(map(len, inside))] > 0.5
    ways, at = [], 0
    for own in inside:
        ways.append(own[int(np.argmax(taken[at : at + len(own)]))])
        at += len(own)
    return ways, -float(found.fun), -float(found.mip_dual_bound)
