"""The costs of a player as arrays over fingers, each computed once.

Sizes: rows are the finger before, columns the finger after, `CHOICES` of each.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from suspirium.tables import load
from suspirium.technique.fingers.moves import move
from suspirium.technique.fingers.names import CHOICES, COUNT, NONE, NUMBERS, SIDES
from suspirium.technique.fingers.spans import on_grid
from suspirium.technique.fingers.states import Array, States, pair_points, states_of
from suspirium.technique.hand import Hand, Level, Reach, reach_of
from suspirium.technique.keyboard import is_black
from suspirium.technique.share import Key, Part, hand_points

# Far above any sum of points, and exact beside them in a float.
IMPOSSIBLE = float(2**30)


@dataclass(frozen=True, slots=True)
class MoveArrays:
    """Moves from one key to another for all fingers: points (IMPOSSIBLE where legato can't
    be) and the seconds needed without legato."""

    points: Array
    needs_s: Array
    same_hand: Array


@dataclass(frozen=True)
class Costs:
    """All that depends on the player: hand and level."""

    hand: Hand
    level: Level = "fluent"

    @cached_property
    def reaches(self) -> Mapping[tuple[int, int], Reach]:
        return reach_of(self.hand)

    @cached_property
    def break_points(self) -> Mapping[str, float]:
        table = load("fingering")
        share = table["level.break"][self.level]
        return {rank: on_grid(points * share) for rank, points in table["break.points"].items()}

    @cached_property
    def substitution_points(self) -> tuple[float, ...]:
        table = load("fingering")
        factor = table["level.substitution"][self.level]
        return (0.0, *(on_grid(points * factor) for points in table["substitution.points"]))

    def states(self, midis: tuple[int, ...], choices: tuple[int, ...], left_out: int) -> States:
        """The states of a chord; chords an octave apart share them."""
        octave = 12 * (midis[0] // 12)
        found = _states(self, tuple(midi - octave for midi in midis), choices, left_out)
        return replace(found, place=found.place + octave)

    def pair(self, low_key: int, high_key: int) -> Array:
        """Points of two keys held together; pairs an octave apart share them."""
        octave = 12 * (low_key // 12)
        return _pair(self, low_key - octave, high_key - octave)

    def moves(self, key: int, next_key: int, *, one_line: bool) -> MoveArrays:
        """Moves between two keys; pairs of keys of one shape share them."""
        octave = 12 * (min(key, next_key) // 12)
        return _moves(self, key - octave, next_key - octave, one_line)

    def strike(self, key: Key, *, doubled: bool = False) -> Array:
        """(CHOICES,) points of striking a key with each finger; an inner one that
        is `doubled` in another octave is missed less."""
        return _strike(key.part, is_black(key.midi), doubled)


@lru_cache(maxsize=2048)
def _pair(costs: Costs, low_key: int, high_key: int) -> Array:
    return pair_points(costs.reaches, low_key, high_key)


@lru_cache(maxsize=4096)
def _states(costs: Costs, midis: tuple[int, ...], choices: tuple[int, ...], out: int) -> States:
    return states_of(midis, costs.reaches, choices, out, costs.pair)


@lru_cache(maxsize=4096)
def _moves(costs: Costs, key: int, next_key: int, one_line: bool) -> MoveArrays:
    points = np.zeros((CHOICES, CHOICES))
    needs_s = np.zeros((CHOICES, CHOICES))
    same = np.zeros((CHOICES, CHOICES))
    for finger in range(COUNT):
        for after in range(COUNT):
            if SIDES[finger] != SIDES[after]:
                continue
            found = move(
                costs.reaches,
                SIDES[finger],
                (key, NUMBERS[finger]),
                (next_key, NUMBERS[after]),
                one_line=one_line,
            )
            points[finger, after] = IMPOSSIBLE if found.points is None else found.points
            needs_s[finger, after] = found.needs_s
            same[finger, after] = 1.0
    return MoveArrays(points, needs_s, same)


@lru_cache(maxsize=64)
def _strike(part: Part, black: bool, doubled: bool) -> Array:
    table = load("fingering")
    rank = part if part in ("melody", "bass") else "inner"
    points = np.zeros(CHOICES)
    points[NONE] = table["leave_out.points"][rank]
    if doubled and rank == "inner":
        points[NONE] *= table.number("leave_out.doubled")
    for finger in range(COUNT):
        points[finger] = hand_points(part, SIDES[finger])
        points[finger] += table["weak.points"][str(NUMBERS[finger])]
        if black and NUMBERS[finger] == 1:
            points[finger] += table.number("points.thumb_on_black")
    return points


def change_points(key: Key, after: Key) -> Array:
    """(CHOICES, CHOICES) points where a voice goes on in the other hand."""
    return _change(after.on_beat)


@lru_cache(maxsize=2)
def _change(on_beat: bool) -> Array:
    table = load("fingering")
    points = table.number("hand.change") + (0 if on_beat else table.number("hand.change_off_beat"))
    found = np.zeros((CHOICES, CHOICES))
    found[:5, 5:10] = points
    found[5:10, :5] = points
    return found


def held_points(key: Key) -> Array:
    """(CHOICES, CHOICES) for a key held on: its finger stays, or lets go before its time."""
    return _held(key.rank)


@lru_cache(maxsize=4)
def _held(rank: str) -> Array:
    points = np.full((CHOICES, CHOICES), IMPOSSIBLE)
    np.fill_diagonal(points, 0.0)
    table = load("fingering")
    points[:, NONE] = table["leave_out.points"][rank] * table.number("leave_out.let_go")
    points[NONE, NONE] = 0.0
    return points


def joining(costs: Costs, key: Key, after: Key, gap_s: float, *, one_line: bool) -> Array:
    """(CHOICES, CHOICES) points from a key let go `gap_s` before the next is struck.

    Free where the gap leaves the time needed; else the cheaper of legato and a break, which
    the key's own length must afford.
    """
    table = load("hands")
    moves = costs.moves(key.midi, after.midi, one_line=one_line)
    missing_s = moves.needs_s - gap_s
    affordable = missing_s <= table.number("move.most_share") * key.length_s
    broken = np.where(affordable, costs.break_points[key.rank], IMPOSSIBLE)
    points = np.minimum(moves.points, broken)
    if gap_s > 0:
        points = np.where(missing_s <= 0, 0.0, points)
    points = points * moves.same_hand
    if one_line and gap_s < table.number("move.least_s"):
        points = points + change_points(key, after)
    return points
