"""What stands beside the layers: ties, slurs, fermatas, breaths, fingerings, texts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from lxml import etree

from suspirium.score.decorations import from_mei
from suspirium.score.mei.bars import Bar
from suspirium.score.mei.xml import decimal, local, read_through, text_of, whole
from suspirium.score.model import Annotation

_SIGNS = ("trill", "mordent", "turn", "arpeg")
_TEXTS = ("dir", "reh", "repeatMark")
_NEAR_Q = Fraction(1, 50)  # a place printed with four decimals is that of the nearest event
_TICK_Q = 48


@dataclass(frozen=True, slots=True)
class BreathMark:
    """A breath mark or caesura by its place on a staff."""

    staff: str
    onset_q: Fraction
    below: bool


@dataclass(slots=True)
class Marks:
    """All marks of a score; those on notes by the ids they name."""

    ties: set[str] = field(default_factory=set)
    slurs: list[tuple[str, str]] = field(default_factory=list)
    fermatas: set[str] = field(default_factory=set)
    breaths: list[BreathMark] = field(default_factory=list)
    breathing: set[str] = field(default_factory=set)
    fingerings: dict[str, list[str]] = field(default_factory=dict)
    signs: dict[str, list[str]] = field(default_factory=dict)
    annotations: list[Annotation] = field(default_factory=list)
    jumps: list[Annotation] = field(default_factory=list)
    quarter_bpm: float | None = None


def read_marks(bars: Iterable[Bar], opening: etree._Element | None) -> Marks:
    """The marks of all measures; `opening` is the score definition, which may set a tempo."""
    found = Marks()
    if opening is not None:
        _take_bpm(opening, found)
    for bar in bars:
        for element in read_through(bar.element):
            name = local(element)
            if name not in ("staff", ""):
                _take(name, element, bar, found)
    found.annotations = sorted(set(found.annotations), key=lambda a: (a.onset_q, a.text))
    return found


def _take(name: str, element: etree._Element, bar: Bar, found: Marks) -> None:
    start, end = _named(element, "startid"), _named(element, "endid")
    if name == "tie":
        found.ties.add(start)
    elif name == "slur" and start and end:
        found.slurs.append((start, end))
    elif name == "fermata":
        found.fermatas.update([start] if start else _standing_at(element, bar))
    elif name in ("breath", "caesura"):
        _take_breath(element, start, bar, found)
    elif name == "fing":
        found.fingerings.setdefault(start, []).append(text_of(element))
    elif name in _SIGNS:
        for ident in [start] if start else element.get("plist", "").replace("#", "").split():
            sign = from_mei(name, element.get("form", ""))
            found.signs.setdefault(ident, []).append(sign)
    elif name in _TEXTS:
        _take_text(name, element, bar, found)
    elif name == "tempo":
        _take_bpm(element, found)
        _take_text(name, element, bar, found)


def _named(element: etree._Element, attribute: str) -> str:
    return element.get(attribute, "").removeprefix("#")


def _take_breath(element: etree._Element, start: str, bar: Bar, found: Marks) -> None:
    if start:
        found.breathing.add(start)
        return
    place = decimal(element.get("tstamp"))
    if place is not None:
        below = element.get("place") == "below"
        found.breaths.append(BreathMark(element.get("staff", ""), _onset_q(place, bar), below))


def _take_text(name: str, element: etree._Element, bar: Bar, found: Marks) -> None:
    text = _words(element)
    if name == "repeatMark" and not text:
        text = element.get("func", "")
    if not text:
        return
    place = decimal(element.get("tstamp")) or Fraction(1)
    annotation = Annotation(_nearest(_onset_q(place, bar), bar), text)
    found.annotations.append(annotation)
    if name == "repeatMark":
        found.jumps.append(annotation)


def _words(element: etree._Element) -> str:
    """The words of a text; of a tempo, without its metronome mark."""
    parts = [element.text or ""]
    for child in element:
        metronome = child.get("glyph.auth") is not None
        if metronome:
            break
        parts += ["".join(map(str, child.itertext())), child.tail or ""]
    return " ".join("".join(parts).split())


def _take_bpm(element: etree._Element, found: Marks) -> None:
    if found.quarter_bpm is not None:
        return
    bpm = decimal(element.get("midi.bpm"))
    if bpm is None and (mark := decimal(element.get("mm"))) is not None:
        unit = Fraction(4, max(1, whole(element.get("mm.unit"), 4)))
        bpm = mark * unit * (2 - Fraction(1, 2 ** whole(element.get("mm.dots"))))
    if bpm:
        found.quarter_bpm = float(bpm)


def _onset_q(place: Fraction, bar: Bar) -> Fraction:
    """Score time of a place in beats, counted from 1 (MEI `@tstamp`)."""
    unit = bar.stretch.time.unit if bar.stretch.time else 4
    return bar.onset_q + (place - 1) * Fraction(4, unit)


def _nearest(onset_q: Fraction, bar: Bar) -> Fraction:
    """The onset of an event there, else the place itself, rounded."""
    onsets = {event.onset_q for events in bar.layers.values() for event in events}
    nearest = min(onsets | {bar.onset_q}, key=lambda q: abs(q - onset_q))
    if abs(nearest - onset_q) <= _NEAR_Q:
        return nearest
    return onset_q.limit_denominator(_TICK_Q)


def _standing_at(element: etree._Element, bar: Bar) -> list[str]:
    """Ids of the events at a place on a staff."""
    place = decimal(element.get("tstamp"))
    if place is None:
        return []
    onset_q = _nearest(_onset_q(place, bar), bar)
    return [
        event.idents[0]
        for (staff, _), events in bar.layers.items()
        for event in events
        if staff == element.get("staff", staff) and event.onset_q == onset_q and event.heads
    ]
