"""Where systems break: one line of verse is one system where it fits.

One optimum over all breaks by dynamic programming; widths are measured from the music
engraved once on an endless line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.model import Hymn

_OVERFULL = 1.04  # beyond this share of the width words would touch
_COST_OVERFULL = 400.0
_COST_LOOSE = 2.0
_COST_INSIDE_A_LINE = 4.0
_COST_LINES_JOINED = 2.5


@dataclass(frozen=True, slots=True)
class Place:
    """A place where a system may begin: its x on the endless line, whether a verse begins."""

    at_q: Fraction
    x: float
    verse: bool


def cuts(hymn: Hymn, starts_q: Sequence[Fraction]) -> list[Fraction]:
    """Line starts inside measures that no voice sounds across."""
    bars = {measure.onset_q for measure in hymn.measures}
    return [q for q in starts_q if q not in bars and not _crossed(hymn, q)]


def _crossed(hymn: Hymn, at_q: Fraction) -> bool:
    return any(note.onset_q < at_q < note.end_q for voice in hymn.voices for note in voice.notes)


def choose_breaks(
    places: Sequence[Place], end_x: float, head: float, width: float, per_system: float
) -> list[Fraction]:
    """Starts of the systems after the first, at the least total cost.

    `head` is the width of clef and key, `width` the system's; `per_system` is what each
    system costs (more of it packs the music into fewer).
    """
    xs = [*(place.x for place in places), end_x]
    best: list[tuple[float, list[int]]] = [(0.0, [])]
    for end in range(1, len(xs)):
        options = []
        for start in range(end):
            before, chosen = best[start]
            cost = before + per_system + _cost(places, xs, start, end, head, width)
            options.append((cost, [*chosen, start]))
        best.append(min(options, key=lambda option: option[0]))
    return [places[index].at_q for index in best[-1][1] if index]


def _cost(
    places: Sequence[Place], xs: Sequence[float], start: int, end: int, head: float, width: float
) -> float:
    fill = (xs[end] - xs[start] + head) / width
    cost = _COST_OVERFULL * max(0.0, fill - _OVERFULL)
    if fill < 1:
        cost += _COST_LOOSE * (1 - fill) ** 2
    if not places[start].verse and start:
        cost += _COST_INSIDE_A_LINE
    cost += _COST_LINES_JOINED * sum(place.verse for place in places[start + 1 : end])
    return cost
