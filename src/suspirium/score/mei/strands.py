"""Strands: the layers of a staff, each through the whole score and without gaps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from suspirium.errors import Place, Remark
from suspirium.score.mei.bars import Bar
from suspirium.score.mei.events import Event
from suspirium.score.spoken import quarters


@dataclass(frozen=True, slots=True)
class Strand:
    """What one voice of one staff has from the first measure to the last."""

    staff: str
    events: tuple[Event, ...]

    @property
    def sings(self) -> bool:
        return any(event.heads for event in self.events)

    @property
    def speaks(self) -> bool:
        return any(event.verses for event in self.events)


def strands_of(staff: str, bars: Sequence[Bar]) -> list[Strand]:
    """The strands of a staff from the top: by stems where they tell, else by layer number."""
    numbers = sorted(
        {
            number
            for bar in bars
            for (name, number), events in bar.layers.items()
            if name == staff and any(event.heads or not event.hidden for event in events)
        }
    )
    found = [_strand(staff, number, bars) for number in numbers]
    found = [strand for strand in found if strand.sings]
    return sorted(found, key=_direction) if len(found) > 1 else found


def _direction(strand: Strand) -> int:
    """-1 for a strand of up-stems, 1 for one of down-stems, 0 where stems don't tell."""
    up = sum(event.stem == "up" for event in strand.events)
    down = sum(event.stem == "down" for event in strand.events)
    return -1 if up > 2 * down else 1 if down > 2 * up else 0


def _strand(staff: str, number: int, bars: Sequence[Bar]) -> Strand:
    events: list[Event] = []
    for bar in bars:
        layer = bar.layers.get((staff, number))
        filler = layer is None
        barlines_q = [onset_q for onset_q, _ in bar.inner]
        events.extend(_cut(_joined(_filled(layer or [], bar, filler)), barlines_q))
    return Strand(staff, tuple(events))


def _filled(layer: Sequence[Event], bar: Bar, filler: bool) -> Iterator[Event]:
    """The layer up to the barline."""
    yield from layer
    written_q = layer[-1].end_q if layer else bar.onset_q
    lacking_q = bar.end_q - written_q
    if lacking_q > 0:
        yield Event(written_q, lacking_q, hidden=True, filler=filler)


def _joined(events: Iterator[Event]) -> Iterator[Event]:
    """Hidden rests side by side made one, except in a tuplet."""
    last: Event | None = None
    for event in events:
        if last is not None and _hides(last) and _hides(event):
            last = replace(last, duration_q=last.duration_q + event.duration_q)
            continue
        if last is not None:
            yield last
        last = event
    if last is not None:
        yield last


def _cut(events: Iterator[Event], barlines_q: Sequence[Fraction]) -> Iterator[Event]:
    """The events; rests that run over a barline are rests on both sides of it."""
    for event in events:
        rest = event
        for barline_q in barlines_q:
            if rest.onset_q < barline_q < rest.end_q:
                yield replace(rest, duration_q=barline_q - rest.onset_q)
                rest = replace(rest, onset_q=barline_q, duration_q=rest.end_q - barline_q)
        yield rest


def _hides(event: Event) -> bool:
    return event.hidden and not event.heads and event.tuplet is None


def lacking(staff: str, bars: Sequence[Bar], voice: str) -> Iterator[Remark]:
    """Measures that a staff's first layer does not fill, and the first in which it is absent."""
    absent = [bar for bar in bars if not any(name == staff for name, _ in bar.layers)]
    if absent:
        where = "" if len(absent) == 1 else f" nor in {len(absent) - 1} more"
        yield Remark(
            f"the staff has nothing in this measure{where}; rests fill up.",
            Place(measure=absent[0].stretch.said, voice=voice),
        )
    for bar in bars:
        lengths = [q for (name, _), q in sorted(bar.lengths_q.items()) if name == staff]
        if lengths and max(lengths) < bar.stretch.duration_q:
            lack_q = bar.stretch.duration_q - max(lengths)
            yield Remark(
                f"the notes are {quarters(lack_q)} short of the other voices'; rests fill up.",
                Place(measure=bar.stretch.said, voice=voice),
            )
