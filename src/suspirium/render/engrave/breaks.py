"""Where systems break: one line of verse is one system where it fits.

For every number of systems one optimum over all breaks by dynamic programming; widths are
measured from the music engraved once on an endless line. The page chooses among them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, inf, log

from suspirium.score.model import Hymn
from suspirium.tables import load

_FULL = 1.04  # beyond this share of its natural width at the closest spacing words would touch
_TOO_FULL = 1.3
_MORE_SYSTEMS = 1  # tried beyond one for each line


@dataclass(frozen=True, slots=True)
class Place:
    """A place where a system may begin: its x on the endless line, whether a verse begins.

    At a `wall` one must begin.
    """

    at_q: Fraction
    x: float
    verse: bool
    wall: bool = False


@dataclass(frozen=True, slots=True)
class Breaking:
    """Starts of the systems after the first, and what these breaks cost."""

    starts_q: tuple[Fraction, ...]
    cost: float

    @property
    def systems(self) -> int:
        return len(self.starts_q) + 1


def cuts(hymn: Hymn, starts_q: Sequence[Fraction]) -> list[Fraction]:
    """Line starts inside measures that no voice sounds across."""
    bars = {measure.onset_q for measure in hymn.measures}
    return [q for q in starts_q if q not in bars and not _crossed(hymn, q)]


def _crossed(hymn: Hymn, at_q: Fraction) -> bool:
    return any(note.onset_q < at_q < note.end_q for voice in hymn.voices for note in voice.notes)


def breakings(places: Sequence[Place], end_x: float, head: float, width: float) -> list[Breaking]:
    """The best breaks for each number of systems that can hold the music.

    `head` is the width of clef and key, `width` the system's; both in the units of `places`.
    """
    music = _Music(places, end_x, head, width)
    fewest = max(1, ceil(music.fill(0, len(places)) / _FULL))
    lines = sum(place.verse for place in places) + _MORE_SYSTEMS
    numbers = range(fewest, max(fewest, min(lines, len(places))) + 1)
    found = [breaking for number in numbers if (breaking := music.best(number)) is not None]
    return found or [music.finest()]


@dataclass(frozen=True, slots=True)
class _Span:
    """Music that may fill one system: `start` to `end` (indices of places)."""

    start: int
    end: int
    log_fill: float
    cost: float  # of its ends and of being too full, whatever the other systems are


class _Music:
    """The endless line measured, with every span that a system may hold."""

    def __init__(self, places: Sequence[Place], end_x: float, head: float, width: float) -> None:
        self.places = places
        self._xs = [*(place.x for place in places), end_x]
        self._head, self._width = head, width
        self._uneven = load("page").number("cost.uneven")
        self._overfull = load("page").number("cost.overfull")
        self._spans = list(self._found_spans())

    def fill(self, start: int, end: int) -> float:
        """Natural width from one place to another as a share of a system's."""
        return (self._xs[end] - self._xs[start] + self._head) / self._width

    def _found_spans(self) -> Iterator[_Span]:
        costs = load("page")
        inside, joined, crowded, overfull = (
            costs.number(f"cost.{name}") for name in ("inside", "joined", "crowded", "overfull")
        )
        for start, place in enumerate(self.places):
            cost = 0.0 if place.verse or not start else inside
            for end in range(start + 1, len(self._xs)):
                fill = self.fill(start, end)
                if fill > _TOO_FULL and end > start + 1:
                    break
                close = crowded * max(0.0, fill - costs["crowded_from"]) ** 2
                close += overfull * max(0.0, fill - _FULL)
                yield _Span(start, end, log(fill), cost + close)
                if end < len(self.places) and self.places[end].wall:
                    break
                if end < len(self.places) and self.places[end].verse:
                    cost += joined

    def finest(self) -> Breaking:
        """A system at every place: all that is left for music too wide to be broken well."""
        return Breaking(tuple(place.at_q for place in self.places[1:]), self._overfull)

    def best(self, number: int) -> Breaking | None:
        """The cheapest breaks into `number` systems; None where there are none."""
        last = len(self.places)
        total = self.fill(0, last) + (number - 1) * self._head / self._width
        even = log(min(1.0, total / number))
        spans = [
            (s.start, s.end, s.cost + self._uneven * (s.log_fill - even) ** 2) for s in self._spans
        ]
        row = {0: 0.0}
        came: list[dict[int, int]] = []
        for _ in range(number):
            row, chosen = _next(row, spans)
            came.append(chosen)
        if last not in row:
            return None
        starts, at = [], last
        for chosen in reversed(came):
            at = chosen[at]
            starts.append(at)
        return Breaking(tuple(self.places[i].at_q for i in reversed(starts[:-1])), row[last])


def _next(
    row: dict[int, float], spans: Sequence[tuple[int, int, float]]
) -> tuple[dict[int, float], dict[int, int]]:
    """One system more: the least cost of music up to each place, and where that system begins."""
    least: dict[int, float] = {}
    begins: dict[int, int] = {}
    for start, end, cost in spans:
        if start in row and row[start] + cost < least.get(end, inf):
            least[end] = row[start] + cost
            begins[end] = start
    return least, begins
