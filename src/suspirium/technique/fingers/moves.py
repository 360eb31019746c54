"""From one key to the next in one hand: joined, or let go early so that the hand can move."""

from __future__ import annotations

from dataclasses import dataclass

from suspirium.tables import load
from suspirium.technique.fingers.spans import Reaches, join, span
from suspirium.technique.hand import Side
from suspirium.technique.keyboard import distance
from suspirium.technique.model import Means


@dataclass(frozen=True, slots=True)
class Move:
    """A hand's way from key to key.

    `points` and `means` hold for legato, None where legato can't be; `needs_s` is the time
    that the hand needs off the keys to do it without legato.
    """

    points: float | None
    means: Means
    needs_s: float


def move(
    reaches: Reaches,
    side: Side,
    before: tuple[int, int],
    after: tuple[int, int],
    *,
    one_line: bool,
) -> Move:
    """The way from (key, finger) to (key, finger)."""
    joined = join(reaches, side, before, after, one_line=one_line)
    needs_s = move_s(reaches, side, before, after)
    if joined is None:
        return Move(None, "break", needs_s)
    return Move(joined.points, joined.means, needs_s)


def move_s(reaches: Reaches, side: Side, before: tuple[int, int], after: tuple[int, int]) -> float:
    """Seconds that a hand needs to leave one key and strike the next with the given fingers.

    One finger travels the whole distance; two fingers only what lies beyond their span.
    """
    table = load("hands")
    (key, finger), (next_key, next_finger) = before, after
    if finger == next_finger:
        width = float(abs(distance(key, next_key)))
    else:
        pair = (min(finger, next_finger), max(finger, next_finger))
        wide = span(side, key, finger, next_key, next_finger)
        reach = reaches[pair]
        width = max(0.0, wide - reach.max_prac, reach.min_prac - wide)
    way_mm = width * table.number("keys.semitone_mm")
    return table.number("move.least_s") + way_mm / table.number("move.speed_mm_s")
