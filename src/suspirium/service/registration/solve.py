"""One cheapest row of registrations through all stanzas (dynamic programming)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from suspirium.service.organ.model import Organ
from suspirium.service.registration.candidates import Candidate
from suspirium.service.registration.changes import change
from suspirium.tables import load

DEARER = 2.0  # times the price of a piston while more are wanted than there are
MOST_ROUNDS = 12

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Stage:
    """What one stanza asks for.

    `reach` is how far the step may change before it, `no_pedal` what playing without pedal
    costs here, `no_solo` what it costs not to play the melody as a solo; None forbids solos.
    """

    stanza: int
    asked: float
    reach: float
    no_pedal: float
    no_solo: float | None = None


def solve(
    organ: Organ, stages: Sequence[Stage], found: Sequence[Candidate], budget_s: float
) -> list[Candidate]:
    """The candidates of least cost in all, one a stage.

    Where more pistons are wanted than the organ has, their price rises until they suffice.
    """
    moves = _moves(found)
    price = load("registration").number("cost.piston")
    rows: list[Candidate] = []
    for _ in range(MOST_ROUNDS):
        rows = _cheapest(organ, stages, found, _move_costs(organ, moves, budget_s, price))
        if pistons_used(organ, rows, budget_s) <= organ.pistons:
            break
        price *= DEARER
    return rows


def pistons_used(organ: Organ, rows: Sequence[Candidate], budget_s: float) -> int:
    """How many registrations have to be set beforehand."""
    return len(
        {
            after.registration
            for before, after in pairwise(rows)
            if change(organ, before.registration, after.registration, budget_s).by_piston
        }
    )


def _cheapest(
    organ: Organ, stages: Sequence[Stage], found: Sequence[Candidate], moves: Matrix
) -> list[Candidate]:
    steps = np.array([one.step for one in found])
    change_db = np.abs(steps[:, None] - steps[None, :])
    totals = _nodes(organ, stages[0], found, steps)
    back = []
    for before, stage in pairwise(stages):
        paths = totals[:, None] + moves + _far(before, stage, change_db)
        came = paths.argmin(axis=0)
        totals = paths[came, np.arange(len(found))] + _nodes(organ, stage, found, steps)
        back.append(came)
    places = [int(totals.argmin())]
    for came in reversed(back):
        places.append(int(came[places[-1]]))
    return [found[place] for place in reversed(places)]


def _nodes(
    organ: Organ, stage: Stage, found: Sequence[Candidate], steps: NDArray[np.float64]
) -> Matrix:
    """What each candidate costs at one stage."""
    costs = np.array([one.cost for one in found])
    solo = np.array([bool(one.registration.solo) for one in found])
    away = steps - stage.asked
    if stage.no_solo:  # a solo that is asked for may be softer than what people sing to
        away[solo] = np.maximum(away[solo], 0.0)
    costs += load("registration").number("cost.step") * away**2
    if stage.no_solo is None:
        costs[solo] = np.inf
    else:
        costs[~solo] += stage.no_solo
    if organ.pedal is not None:
        costs[[not one.registration.pedal for one in found]] += stage.no_pedal
    return costs


def _moves(found: Sequence[Candidate]) -> Matrix:
    """Stops and couplers moved from each candidate (rows) to each other one (columns)."""
    names = sorted({control for one in found for control in one.registration.controls})
    drawn = np.array(
        [[name in one.registration.controls for name in names] for one in found], np.float64
    )
    sounding = np.array(
        [[name[0] in one.registration.divisions for name in names] for one in found], np.float64
    )
    draw = (1 - drawn) @ drawn.T
    put_in = drawn @ ((1 - drawn) * sounding).T
    return np.asarray(draw + put_in, np.float64)


def _move_costs(organ: Organ, moves: Matrix, budget_s: float, price: float) -> Matrix:
    table = load("registration")
    out_s, stop_s = table.number("reach.out_s"), table.number("reach.stop_s")
    by_hand_s = np.where(moves > 0, out_s + stop_s * moves, 0.0)
    late_s = np.maximum(0.0, by_hand_s - budget_s)
    costs = table.number("cost.reach") * late_s + table.number("cost.change") * moves
    if organ.pistons:
        late = max(0.0, table.number("reach.piston_s") - budget_s)
        costs = np.where(late_s > 0, table.number("cost.reach") * late + price, costs)
    return np.asarray(costs, np.float64)


def _far(before: Stage, stage: Stage, change_of_step: Matrix) -> Matrix:
    """Steps beyond what people follow; the same again where something else was asked."""
    table = load("registration")
    costs = table.number("cost.too_far") * np.maximum(0.0, change_of_step - stage.reach)
    if abs(stage.asked - before.asked) > table.number("same.within"):
        costs = costs + np.diag(np.full(len(costs), table.number("cost.same")))
    return np.asarray(costs, np.float64)
