"""One foot's way to its next pedal key, and the two feet beside each other."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

from suspirium.tables import load
from suspirium.technique.feet.board import Pedalboard, apart_mm, is_sharp, naturals, turn_deg
from suspirium.technique.model import Foot, FootPart, Means


@dataclass(frozen=True, slots=True)
class Way:
    """How a foot gets from key to key: points without time to spare (None where that can't
    be), its means, and the seconds it needs off the keys."""

    points: float | None
    means: Means
    needs_s: float


@lru_cache(maxsize=32768)
def way(
    board: Pedalboard, foot: Foot, key: int, part: FootPart, after: int, after_part: FootPart
) -> Way:
    """The way of one foot from (key, part) to (key, part)."""
    needs_s = move_s(board, key, after)
    if key == after:
        changed = load("pedalling").number("repeat.other")
        return Way(0.0 if part == after_part else changed, "", needs_s)
    if part != after_part:
        return Way(_pivot(board, foot, key, part, after), "", needs_s)
    if part == "toe" and is_sharp(key) and not is_sharp(after) and abs(key - after) == 1:
        return Way(load("pedalling").number("slide.sharp_natural"), "slide", needs_s)
    return Way(None, "break", needs_s)


@cache
def move_s(board: Pedalboard, key: int, after: int) -> float:
    """Seconds that a foot needs to leave one key and strike another on this board.

    In proportion to its way (as the toe goes) up to a fifth, for which common practice has
    a time; wider leaps add less.
    """
    table = load("pedalling")
    leap_mm = apart_mm(board, key, "toe", after, "toe")
    fifth_mm = table.number("move.fifth_mm")
    wider_s = max(0.0, leap_mm - fifth_mm) / table.number("move.wider_mm_s")
    near_s = min(leap_mm, fifth_mm) / fifth_mm * table.number("move.fifth_s")
    return max(table.number("move.least_s"), near_s + wider_s)


def _pivot(board: Pedalboard, foot: Foot, key: int, part: FootPart, after: int) -> float | None:
    """Points of toe and heel of one foot on two keys at once; None where it can't turn so."""
    table = load("pedalling")
    toe, heel = (key, after) if part == "toe" else (after, key)
    prices = table["pivot.points"]
    wide = abs(naturals(toe) - naturals(heel))
    turn = turn_deg(board, toe, heel)
    outward = turn if foot == "right" else -turn
    from_rest = abs(outward - table["pivot.rest_deg"])
    if is_sharp(heel) or wide > len(prices) - 1 or from_rest > table["pivot.most_deg"]:
        return None
    below = int(wide)
    rest = wide - below
    points = float(prices[below])
    if rest:
        points += rest * (prices[below + 1] - prices[below])
    if outward < 0:
        points += table.number("pivot.inward")
    if from_rest > table["pivot.turn_deg"]:
        points += table.number("pivot.turned")
    return points


@lru_cache(maxsize=4096)
def key_points(midi: int, foot: Foot, part: FootPart) -> float | None:
    """Points of a key under a foot's toe or heel by itself; None for a heel on a sharp."""
    table = load("pedalling")
    if part == "heel" and is_sharp(midi):
        return None
    beyond = naturals(midi) - naturals(int(table["region.middle"]))
    if foot == "right":
        beyond = -beyond
    points = table.number("region.points") * max(0.0, beyond)
    return points + (table.number("heel.points") if part == "heel" else 0.0)


@lru_cache(maxsize=8192)
def beside(left: int, right: int, left_part: FootPart, right_part: FootPart) -> float | None:
    """Points of both feet on their keys at one time; None where they can't be there."""
    table = load("pedalling")
    apart = naturals(right) - naturals(left)
    if apart > table["feet.most_naturals"] or -apart > table["cross.most_naturals"]:
        return None
    if apart >= 0:
        return table.number("knees.points") if apart > table["knees.apart_naturals"] else 0.0
    sharp = is_sharp(left) or is_sharp(right)
    points = table.number("cross.over_sharp" if sharp else "cross.points")
    if "heel" in (left_part, right_part):
        points += table.number("cross.other_heel")
    return points
