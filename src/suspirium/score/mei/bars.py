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
from suspirium.score.mei.xml import local, read_through, whole
from suspirium.score.model import Measure, TimeSignature

_STYLES = {
    "dbl": "double",
    "end": "final",
    "rptend": "final",
    "rptboth": "final",
    "dbldashed": "dotted",
    "dbldotted": "dotted",
    "dashed": "dotted",
    "dotted": "dotted",
    "invis": "none",
    "rptstart": "double",
}
_FREE_BAR_Q = Fraction(4)  # how long a full bar's rest counts where there is no metre
Layers = dict[tuple[str, int], list[Event]]


@dataclass(frozen=True, slots=True)
class Bar:
    """One measure: its element, its stretch, its layers' events in score time.

    `layers` are by staff and layer number; `lengths_q` is how far each is written.
    """

    element: etree._Element
    measure: Measure
    time: TimeSignature | None
    layers: Layers
    lengths_q: dict[tuple[str, int], Fraction]


@dataclass(slots=True)
class Score:
    """All measures with the signatures and staves that hold for them."""

    bars: list[Bar] = field(default_factory=list)
    signatures: Signatures = field(default_factory=Signatures)
    staves: dict[str, StaffDefinition] = field(default_factory=dict)
    unvalued: int = 0


def read_bars(score: etree._Element) -> Score:
    """The measures of a `score` element."""
    found = Score()
    readers: dict[tuple[str, int], LayerReader] = {}
    now_q = Fraction(0)
    for element, endings in _in_order(score, ()):
        if is_definition(element):
            found.staves = found.staves or staves(element)
            found.signatures.define(element, now_q)
            continue
        found.signatures.define(element, now_q)
        bar = _bar(element, endings, now_q, found, readers)
        found.bars.append(bar)
        now_q = bar.measure.end_q
    found.signatures.complete()
    found.unvalued = sum(reader.unvalued for reader in readers.values())
    found.bars = [
        replace(bar, measure=measure)
        for bar, measure in zip(found.bars, _numbered(found.bars), strict=True)
    ]
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
    for first, last in re.findall(r"(\d{1,2})(?:\s*[-–]\s*(\d{1,2}))?", text):
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
    return Bar(
        element,
        _measure(element, endings, onset_q, duration_q),
        time,
        {key: _full(events, q, duration_q) for key, (events, q) in read.items()},
        {key: duration_q if q is None else q for key, (_, q) in read.items()},
    )


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


def _measure(
    element: etree._Element, endings: tuple[int, ...], onset_q: Fraction, duration_q: Fraction
) -> Measure:
    left, right = element.get("left", ""), element.get("right", "")
    return Measure(
        number=-1,
        onset_q=onset_q,
        duration_q=duration_q,
        right=_STYLES.get(right, "single"),
        repeat_start=left in ("rptstart", "rptboth"),
        repeat_end=right in ("rptend", "rptboth"),
        endings=endings,
    )


def _numbered(bars: list[Bar]) -> Iterator[Measure]:
    """Measures with their printed numbers; what one closes and the next opens in agreement.

    Short measures that add up to a bar, and those that repeat a number, are one bar.
    """
    number, left_q = 0, Fraction(0)
    said_before: int | None = None
    for index, bar in enumerate(bars):
        said = _printed_number(bar.element)
        short_q = bar.time.bar_q - bar.measure.duration_q if bar.time else Fraction(0)
        continues = index > 0 and (left_q > 0 or (said is not None and said == said_before))
        if continues:
            number = number if said is None else said
            left_q = max(Fraction(0), left_q - bar.measure.duration_q)
        else:
            pickup = index == 0 and short_q > 0
            number = 0 if pickup else number + 1 if said is None else said
            left_q = _left_to_fill(bars[index:]) if index > 0 and short_q > 0 else Fraction(0)
        said_before = said
        yield _between(bars, index, replace(bar.measure, number=number, continues=continues))


def _printed_number(measure: etree._Element) -> int | None:
    found = re.match(r"\d+", measure.get("n", ""))
    return int(found[0]) if found else None


def _left_to_fill(rest: list[Bar]) -> Fraction:
    """What the following measures give to fill the bar exactly, 0 where they don't."""
    time = rest[0].time
    total_q = Fraction(0)
    for bar in rest:
        total_q += bar.measure.duration_q
        if time is None or total_q >= time.bar_q:
            break
    exact = time is not None and total_q == time.bar_q
    return total_q - rest[0].measure.duration_q if exact else Fraction(0)


def _between(bars: list[Bar], index: int, measure: Measure) -> Measure:
    """The measure with what its neighbours say about their common barlines."""
    before = bars[index - 1].element.get("right") if index > 0 else None
    starts = measure.repeat_start or before in ("rptstart", "rptboth")
    following = bars[index + 1].element.get("left") if index + 1 < len(bars) else None
    ends = measure.repeat_end or following in ("rptend", "rptboth")
    right = measure.right
    if ends:
        right = "final"
    elif following == "rptstart" and right != "final":
        right = "double"
    return replace(measure, repeat_start=starts, repeat_end=ends, right=right)
