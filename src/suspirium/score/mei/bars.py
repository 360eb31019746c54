"""The measures of the score in order, with what each layer holds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction

from lxml import etree

from suspirium.score.mei.definitions import (
    Signatures,
    StaffDefinition,
    is_definition,
    staves,
)
from suspirium.score.mei.events import Event
from suspirium.score.mei.layers import LayerReader, StaffSetting
from suspirium.score.mei.numbering import Stretch, measures_of, printed_number
from suspirium.score.mei.xml import local, read_through, whole
from suspirium.score.model import Measure

_FREE_BAR_Q = Fraction(4)  # how long a full bar's rest counts where there is no metre
Layers = dict[tuple[str, int], list[Event]]


@dataclass(frozen=True, slots=True)
class Bar:
    """One measure element: its stretch and its layers' events in score time.

    `layers` are by staff and layer number, `lengths_q` is how far each is written, and
    `inner` are the barlines inside, which no note crosses, by onset and MEI form.
    """

    element: etree._Element
    stretch: Stretch
    layers: Layers
    lengths_q: dict[tuple[str, int], Fraction]
    inner: tuple[tuple[Fraction, str], ...]

    @property
    def onset_q(self) -> Fraction:
        return self.stretch.onset_q

    @property
    def end_q(self) -> Fraction:
        return self.stretch.onset_q + self.stretch.duration_q


@dataclass(slots=True)
class Score:
    """All measures with the signatures and staves that hold for them."""

    bars: list[Bar] = field(default_factory=list)
    measures: tuple[Measure, ...] = ()
    signatures: Signatures = field(default_factory=Signatures)
    staves: dict[str, StaffDefinition] = field(default_factory=dict)
    slurs: list[tuple[str, str]] = field(default_factory=list)
    unvalued: int = 0
    unpitched_q: list[Fraction] = field(default_factory=list)


def read_bars(score: etree._Element) -> Score:
    """The measures of a `score` element."""
    found = Score()
    readers: dict[tuple[str, int], LayerReader] = {}
    now_q = Fraction(0)
    for element, endings in _in_order(score, ()):
        if is_definition(element):
            found.staves = found.staves or staves(element)
        found.signatures.define(element, now_q)
        if local(element) == "measure":
            found.bars.append(_bar(element, endings, now_q, found, readers))
            now_q = found.bars[-1].end_q
    found.signatures.complete()
    found.measures = measures_of(
        [part for bar in found.bars for part in bar.stretch.cut(bar.inner)]
    )
    found.slurs = [slur for reader in readers.values() for slur in reader.slurs]
    found.unvalued = sum(reader.unvalued for reader in readers.values())
    found.unpitched_q = sorted(q for reader in readers.values() for q in reader.unpitched_q)
    return found


def _in_order(
    parent: etree._Element, endings: tuple[int, ...]
) -> Iterator[tuple[etree._Element, tuple[int, ...]]]:
    """Measures with the ending they stand under, and definitions, in order."""
    for child in read_through(parent):
        name = local(child)
        if name == "measure" or is_definition(child):
            yield child, endings
        elif name == "ending":
            yield from _in_order(child, _passes(child.get("n") or child.get("label") or ""))
        elif name not in ("expansion", ""):
            yield from _in_order(child, endings)


def _passes(text: str) -> tuple[int, ...]:
    """The passes of an ending: "1.", "1, 2" or "1-3"."""
    found: set[int] = set()
    for first, last in re.findall(r"(\d{1,2})\.?(?:\s*[-–]\s*(\d{1,2}))?", text):
        found.update(range(int(first), int(last or first) + 1))
    return tuple(sorted(found))


def _bar(
    element: etree._Element,
    endings: tuple[int, ...],
    onset_q: Fraction,
    score: Score,
    readers: dict[tuple[str, int], LayerReader],
) -> Bar:
    read: dict[tuple[str, int], tuple[list[Event], Fraction | None]] = {}
    for key, layer in _layers(element):
        if key not in readers:
            staff = score.staves.get(key[0])
            readers[key] = LayerReader(staff.setting if staff else StaffSetting())
        read[key] = readers[key].read(layer, onset_q)
    time = score.signatures.time
    written = [length_q for _, length_q in read.values() if length_q]
    full_q = time.bar_q if time else _FREE_BAR_Q
    duration_q = max(written) if written else full_q * _bars_rested(element)
    layers = {key: _full(events, q, duration_q) for key, (events, q) in read.items()}
    barlines = [barline for key in read for barline in readers[key].barlines]
    return Bar(
        element,
        Stretch(
            onset_q,
            duration_q,
            time,
            printed_number(element.get("n")),
            element.get("left", ""),
            element.get("right", ""),
            endings,
        ),
        layers,
        {key: duration_q if q is None else q for key, (_, q) in read.items()},
        tuple(_uncrossed(dict(barlines), layers, onset_q, onset_q + duration_q)),
    )


def _uncrossed(
    barlines: dict[Fraction, str], layers: Layers, onset_q: Fraction, end_q: Fraction
) -> Iterator[tuple[Fraction, str]]:
    """The barlines inside the measure over which no note is held."""
    for at_q, form in sorted(barlines.items()):
        crossed = any(
            event.heads and event.onset_q < at_q < event.end_q
            for events in layers.values()
            for event in events
        )
        if onset_q < at_q < end_q and not crossed:
            yield at_q, form


def _layers(measure: etree._Element) -> Iterator[tuple[tuple[str, int], etree._Element]]:
    for staff in measure.iterchildren("{*}staff"):
        for place, layer in enumerate(staff.iterchildren("{*}layer"), start=1):
            yield (staff.get("n", ""), whole(layer.get("n"), place)), layer


def _bars_rested(measure: etree._Element) -> int:
    return max((whole(rest.get("num"), 1) for rest in measure.iter("{*}multiRest")), default=1)


def _full(events: list[Event], length_q: Fraction | None, full_q: Fraction) -> list[Event]:
    """The events, a rest for the full bar as long as the bar."""
    if length_q is not None:
        return events
    return [replace(event, duration_q=full_q) for event in events]
