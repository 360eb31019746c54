"""Two keys under two fingers of one hand: can it be, and at how many points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from suspirium.tables import load
from suspirium.technique.hand import Reach, Side
from suspirium.technique.keyboard import distance, is_black
from suspirium.technique.model import Means

_GRID = 256
Reaches = Mapping[tuple[int, int], Reach]


def on_grid(points: float) -> float:
    """Points to the nearest 1/256, so that sums are exact in any order."""
    return round(points * _GRID) / _GRID


@dataclass(frozen=True, slots=True)
class Join:
    """One key joined to the next by legato: what it costs and by which means."""

    points: float
    means: Means = ""


def outward(side: Side, low_key: int, high_key: int) -> int:
    """From key to key in semitones' widths, positive away from the body's middle."""
    return distance(low_key, high_key) if side == "right" else distance(high_key, low_key)


def span(side: Side, key: int, finger: int, other_key: int, other_finger: int) -> int:
    """The span from the lower-numbered to the higher-numbered finger."""
    if finger < other_finger:
        return outward(side, key, other_key)
    return outward(side, other_key, key)


def span_points(reach: Reach, width: int, *, thumb: bool) -> float:
    """Rules 1 to 3: stretch, small span, large span (Parncutt and others 1997)."""
    return _stretch(reach, width) + _small(reach, width, thumb) + _large(reach, width, thumb)


def _stretch(reach: Reach, width: int) -> float:
    beyond = max(0.0, width - reach.max_comf, reach.min_comf - width)
    return on_grid(load("fingering").number("points.stretch") * beyond)


def _small(reach: Reach, width: int, thumb: bool) -> float:
    name = "points.small_span_thumb" if thumb else "points.small_span"
    return on_grid(load("fingering").number(name) * max(0.0, reach.min_rel - width))


def _large(reach: Reach, width: int, thumb: bool) -> float:
    name = "points.large_span_thumb" if thumb else "points.large_span"
    return on_grid(load("fingering").number(name) * max(0.0, width - reach.max_rel))


def chord(
    reaches: Reaches, side: Side, low: tuple[int, int], high: tuple[int, int]
) -> float | None:
    """Points of two keys held together, each (key, finger); None where it can't be.

    The lower key lies to the left, so its finger must too.
    """
    (low_key, low_finger), (high_key, high_finger) = low, high
    in_order = low_finger < high_finger if side == "right" else low_finger > high_finger
    if not in_order:
        return None
    pair = (min(low_finger, high_finger), max(low_finger, high_finger))
    width = span(side, low_key, low_finger, high_key, high_finger)
    reach = reaches[pair]
    if not reach.min_prac <= width <= reach.max_prac:
        return None
    factor = load("fingering").number("chord.factor")
    return on_grid(factor * span_points(reach, width, thumb=pair[0] == 1))


def join(
    reaches: Reaches,
    side: Side,
    before: tuple[int, int],
    after: tuple[int, int],
    *,
    one_line: bool,
) -> Join | None:
    """Legato from (key, finger) to (key, finger) in one hand; None where it can't be.

    `one_line` says that both keys are one voice's: then the published rules for a single
    line hold. Between voices only what is possible and stretched counts.
    """
    (key, finger), (next_key, next_finger) = before, after
    if key == next_key:
        changed = load("fingering").number("repeat.other_finger")
        return Join(0.0 if finger == next_finger else changed)
    if finger == next_finger:
        return _glide(key, next_key, finger)
    pair = (min(finger, next_finger), max(finger, next_finger))
    width = span(side, key, finger, next_key, next_finger)
    if width < 0 and pair[0] != 1:
        return _cross(pair, width)
    reach = reaches[pair]
    if not reach.min_prac <= width <= reach.max_prac:
        return None
    if width < 0:
        points = _stretch(reach, width) + _passing(before, after)
        return Join(points + _black_neighbours(before, after), "pass")
    if not one_line:
        return Join(_stretch(reach, width))
    points = span_points(reach, width, thumb=pair[0] == 1)
    return Join(points + _black_neighbours(before, after) + _three_four(before, after))


@cache
def _glides() -> tuple[Mapping[str, float], Mapping[str, float]]:
    table = load("fingering")
    return table["glide.thumb"], table["glide.finger"]


def _colours(key: int, next_key: int) -> str:
    names = {False: "white", True: "black"}
    return f"{names[is_black(key)]}-{names[is_black(next_key)]}"


def _glide(key: int, next_key: int, finger: int) -> Join | None:
    """One finger slides to a neighbouring key."""
    if abs(distance(key, next_key)) > load("fingering").number("glide.widest"):
        return None
    thumb, other = _glides()
    points = (thumb if finger == 1 else other).get(_colours(key, next_key))
    return None if points is None else Join(float(points), "glide")


def _cross(pair: tuple[int, int], width: int) -> Join | None:
    """A longer finger over a shorter one."""
    table = load("fingering")
    points = table["cross.points"].get(f"{pair[0]}-{pair[1]}")
    if points is None or -width > table["cross.widest"]:
        return None
    return Join(float(points), "cross")


def _passing(before: tuple[int, int], after: tuple[int, int]) -> float:
    """Rule 12: the thumb passes under, or a finger over it."""
    thumb, other = (before, after) if before[1] == 1 else (after, before)
    black = is_black(thumb[0]) and not is_black(other[0])
    return load("fingering").number("points.thumb_pass_black" if black else "points.thumb_pass")


def _black_neighbours(before: tuple[int, int], after: tuple[int, int]) -> float:
    """Rules 10 and 11: thumb or little finger on a black key beside a white one."""
    table = load("fingering")
    points = 0.0
    for own, other in ((before, after), (after, before)):
        if is_black(own[0]) and not is_black(other[0]):
            if own[1] == 1:
                points += table.number("points.thumb_by_white")
            elif own[1] == 5:
                points += table.number("points.five_by_white")
    return points


def _three_four(before: tuple[int, int], after: tuple[int, int]) -> float:
    """Rules 8 and 9: 3 then 4, and 3 on white beside 4 on black."""
    table = load("fingering")
    points = 0.0
    if (before[1], after[1]) == (3, 4):
        points += table.number("points.three_to_four")
    keys = {before[1]: before[0], after[1]: after[0]}
    if set(keys) == {3, 4} and is_black(keys[4]) and not is_black(keys[3]):
        points += table.number("points.four_on_black")
    return points
