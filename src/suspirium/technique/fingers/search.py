"""The cheapest fingering: dynamic programming over whole states of the hands.

Each segment has two layers: the strike, in which held keys keep their fingers, and the
silent substitutions after it. Costs are sums over pairs of keys, so that a step is a
product of arrays; the way of the whole hand adds a first-order price for its shift.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from suspirium.tables import load
from suspirium.technique.fingers.matrices import IMPOSSIBLE, Costs, held_points, joining
from suspirium.technique.fingers.names import CHOICES
from suspirium.technique.fingers.segments import Segment, segments_of
from suspirium.technique.fingers.states import MOST_SUBSTITUTIONS, Array, States
from suspirium.technique.fingers.wishes import Wishes
from suspirium.technique.share import Key

_CAN = IMPOSSIBLE / 2
_GRID = 256.0


@dataclass(frozen=True, slots=True)
class Step:
    """One segment's part of the problem: arrays of points."""

    segment: Segment
    states: States
    strike: Array  # (states,) of striking its new keys
    arrive: Array  # (states before, states) from the segment before; empty for the first
    refinger: Array  # (states, states) substitutions within it


@dataclass(frozen=True, slots=True)
class Fingering:
    """The path: per segment the finger index of each key when struck and at the end."""

    points: float
    segments: tuple[Segment, ...]
    struck: tuple[tuple[int, ...], ...]
    ended: tuple[tuple[int, ...], ...]


def steps_of(
    keys: Sequence[Key], costs: Costs, choices: tuple[int, ...], left_out: int = 0
) -> tuple[Step, ...]:
    """The problem of fingering `keys` with the fingers in `choices`."""
    found: list[Step] = []
    for segment in segments_of(keys):
        midis = tuple(keys[index].midi for index in segment.keys)
        states = costs.states(midis, choices, left_out)
        before = found[-1] if found else None
        found.append(
            Step(
                segment,
                states,
                _strike(keys, costs, segment, states),
                _arrive(keys, costs, before, segment, states) if before else np.zeros((0, 0)),
                _refinger(costs, segment, states),
            )
        )
    return tuple(found)


def cheapest(steps: Sequence[Step], wishes: Wishes) -> Fingering | None:
    """The cheapest path, None where none can be played."""
    if not steps:
        return Fingering(0.0, (), (), ())
    if any(not len(step.states.fingers) for step in steps):
        return None
    trail: list[tuple[Array, Array]] = []
    total = np.zeros(0)
    for step in steps:
        own = step.strike + wishes.struck(step.segment, step.states)
        if trail:
            ways = total[:, None] + step.arrive
            came = ways.argmin(axis=0)
            struck = ways[came, np.arange(len(came))] + own
        else:
            came = np.zeros(len(own), dtype=np.int64)
            struck = own
        ways = struck[:, None] + step.refinger
        from_strike = ways.argmin(axis=0)
        total = ways[from_strike, np.arange(len(from_strike))]
        total = total + wishes.ended(step.segment, step.states)
        if total.min() >= _CAN:
            return None
        trail.append((came, from_strike))
    return _path(steps, trail, total)


def _path(steps: Sequence[Step], trail: list[tuple[Array, Array]], total: Array) -> Fingering:
    state = int(total.argmin())
    struck: list[tuple[int, ...]] = []
    ended: list[tuple[int, ...]] = []
    for step, (came, from_strike) in zip(reversed(steps), reversed(trail), strict=True):
        ended.append(tuple(step.states.fingers[state].tolist()))
        state = int(from_strike[state])
        struck.append(tuple(step.states.fingers[state].tolist()))
        state = int(came[state])
    segments = tuple(step.segment for step in steps)
    return Fingering(float(total.min()), segments, tuple(struck[::-1]), tuple(ended[::-1]))


def _strike(keys: Sequence[Key], costs: Costs, segment: Segment, states: States) -> Array:
    points = np.zeros(len(states.fingers))
    for place, index in enumerate(segment.keys):
        if segment.new[place]:
            doubled = any(keys[index].doubles(keys[other]) for other in segment.keys)
            points += costs.strike(keys[index], doubled=doubled)[states.fingers[:, place]]
    for (i, j), pair in states.pair_points.items():
        if segment.new[i] or segment.new[j]:
            points += pair
    return points


def _arrive(
    keys: Sequence[Key], costs: Costs, before: Step, segment: Segment, states: States
) -> Array:
    """(states before, states): held keys keep their fingers, others are joined or let go."""
    old, new = before.segment.keys, segment.keys
    weights = np.zeros((len(old) * CHOICES, len(new) * CHOICES))
    held = set(old) & set(new)
    for i, key in enumerate(old):
        rows = slice(i * CHOICES, (i + 1) * CHOICES)
        if key in held:
            j = new.index(key)
            weights[rows, j * CHOICES : (j + 1) * CHOICES] = held_points(keys[key])
            continue
        gap_s = segment.onset_s - keys[key].release_s
        for j, after in enumerate(new):
            if segment.new[j]:
                one_line = bool(set(keys[key].voices) & set(keys[after].voices))
                weights[rows, j * CHOICES : (j + 1) * CHOICES] = joining(
                    costs, keys[key], keys[after], gap_s, one_line=one_line
                )
    points = before.states.one_hot @ weights @ states.one_hot.T
    return points + _shift(keys, before, segment, states)


def _shift(keys: Sequence[Key], before: Step, segment: Segment, states: States) -> Array:
    """What the hands' ways sideways cost, nothing where all keys were let go in time."""
    let_go_s = min(segment.onset_s - keys[index].release_s for index in before.segment.keys)
    if let_go_s >= load("hands").number("move.least_s"):
        return np.zeros((len(before.states.place), len(states.place)))
    way = np.abs(before.states.place[:, None, :] - states.place[None, :, :])
    points: Array = np.nansum(way, axis=2) * load("fingering").number("shift.points")
    return np.round(points * _GRID) / _GRID


def _refinger(costs: Costs, segment: Segment, states: States) -> Array:
    """(states, states): silent substitutions after the strike."""
    table = load("fingering")
    steps = states.steps
    allowed = np.minimum(
        int(segment.length_s / table.number("substitution.least_s")), MOST_SUBSTITUTIONS
    )
    easy = segment.length_s / table.number("substitution.easy_s")
    prices = np.array([*costs.substitution_points, IMPOSSIBLE])
    points = prices[steps]
    points[steps > allowed] = IMPOSSIBLE
    points += np.where((steps > easy) & (steps > 0), table.number("substitution.hurried"), 0.0)
    for place, lasting in enumerate(segment.lasting):
        if not lasting:
            points[states.changed[:, :, place]] = IMPOSSIBLE
    held = np.zeros(len(states.fingers))
    for pair in states.pair_points.values():
        held += pair
    return points + np.where(steps > 0, held[None, :], 0.0)
