"""One layer of a measure read into events."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache

from lxml import etree

from suspirium.score.decorations import from_mei
from suspirium.score.mei.events import Event, Head, Verse
from suspirium.score.mei.verses import verses_of
from suspirium.score.mei.xml import (
    ID,
    alter_of,
    local,
    read_through,
    whole,
    written_q,
)
from suspirium.score.pitch import STEPS, Pitch

_FULL_BAR = {"mRest", "mSpace", "mRpt", "multiRest"}
_OCTAVES = set("0123456789")
_TIMED = {"note", "chord", "rest", "space"}
Length = tuple[Fraction, tuple[int, int] | None]
_TOP = 11  # the largest number of a tuplet that is told from lengths alone


@dataclass(frozen=True, slots=True)
class StaffSetting:
    """What the definition of a staff says about the notes on it."""

    ticks: int = 0  # to the quarter, 0 where the source counts none
    shift: tuple[int, int] = (0, 0)  # sounding minus written: steps, semitones


@dataclass(slots=True)
class LayerReader:
    """Reads one layer, measure by measure; grace notes may wait for the next measure."""

    setting: StaffSetting
    unvalued: int = 0  # notes without a written length
    unpitched_q: list[Fraction] = field(default_factory=list)  # onsets without readable pitch
    barlines: list[tuple[Fraction, str]] = field(default_factory=list)  # in the last layer read
    slurs: list[tuple[str, str]] = field(default_factory=list)  # from MEI @slur: start, end
    _open_slurs: dict[str, str] = field(default_factory=dict)
    _graces: list[Pitch] = field(default_factory=list)
    _events: list[Event] = field(default_factory=list)
    _now_q: Fraction = Fraction(0)
    _in_beam: bool = False
    _joined: bool = False
    _ratio: tuple[int, int] = (1, 1)
    _full_bar: bool = False

    def read(self, layer: etree._Element, onset_q: Fraction) -> tuple[list[Event], Fraction | None]:
        """The events of a layer that begins at `onset_q`, and their length.

        The length is None for a rest or space for the full bar, an event of length 0.
        """
        self._events, self._now_q, self._full_bar = [], onset_q, False
        self._in_beam = self._joined = False
        self.barlines = []
        self._walk(layer)
        if not self._full_bar:
            return self._events, self._now_q - onset_q
        if self._now_q == onset_q:
            return self._events[:1], None
        return [event for event in self._events if event.duration_q], self._now_q - onset_q

    def _walk(self, parent: etree._Element) -> None:
        for child in read_through(parent):
            name = local(child)
            if name in _TIMED:
                self._timed(child, name)
            elif name in _FULL_BAR:
                self._full_bar = True
                hidden = name == "mSpace" or child.get("visible") == "false"
                self._events.append(Event(self._now_q, Fraction(0), hidden=hidden))
            elif name == "beam":
                self._beam(child)
            elif name == "tuplet":
                self._tuplet(child)
            elif name == "graceGrp":
                self._graces.extend(
                    pitch for note in child.iter("{*}note") if (pitch := self._pitch(note))
                )
            elif name == "barLine":
                self.barlines.append((self._now_q, child.get("form", "")))
            elif len(child):
                self._walk(child)

    def _beam(self, beam: etree._Element) -> None:
        outer, self._in_beam, self._joined = self._in_beam, True, False
        self._walk(beam)
        self._in_beam, self._joined = outer, False

    def _tuplet(self, tuplet: etree._Element) -> None:
        outer = self._ratio
        actual, normal = whole(tuplet.get("num"), 1), whole(tuplet.get("numbase"), 1)
        self._ratio = (outer[0] * max(1, actual), outer[1] * max(1, normal))
        self._walk(tuplet)
        self._ratio = outer

    def _timed(self, element: etree._Element, name: str) -> None:
        heads = self._heads(element, name)
        if element.get("grace") is not None:
            self._graces.extend(head.pitch for head in heads)
            return
        duration_q, tuplet = self._length(element, rests=name == "rest")
        if duration_q <= 0:
            return
        if name in ("note", "chord") and not heads:
            self.unpitched_q.append(self._now_q)
        self._events.append(
            Event(
                self._now_q,
                duration_q,
                heads,
                tuple(dict.fromkeys((element.get(ID, ""), *(head.ident for head in heads)))),
                beamed=self._in_beam and self._joined,
                hidden=name == "space" or element.get("visible") == "false",
                tuplet=tuplet,
                graces=tuple(self._graces) if heads else (),
                signs=tuple(_signs(element)) if len(element) or element.get("artic") else (),
                verses=_verses(element) if len(element) or element.get("syl") else (),
                stem=element.get("stem.dir", ""),
            )
        )
        for sign in element.get("slur", "").split():
            self._take_slur(sign[:1], sign[1:], element.get(ID, ""))
        if heads:
            self._graces = []
        self._joined = True
        self._now_q += duration_q

    def _take_slur(self, kind: str, number: str, ident: str) -> None:
        """A slur written as an attribute: "i1" opens, "t1" closes the first."""
        if kind == "t" and number in self._open_slurs:
            self.slurs.append((self._open_slurs.pop(number), ident))
        elif kind == "i":
            self._open_slurs[number] = ident

    def _heads(self, element: etree._Element, name: str) -> tuple[Head, ...]:
        notes = element.iter("{*}note") if name == "chord" else [element]
        found = [
            Head(pitch, note.get(ID, ""))
            for note in notes
            if name in ("note", "chord") and (pitch := self._pitch(note))
        ]
        return tuple(sorted(found, key=lambda head: (head.pitch.midi, head.pitch.diatonic)))

    def _pitch(self, note: etree._Element) -> Pitch | None:
        """The sounding pitch, None for a note without one (of a drum)."""
        step, octave = note.get("pname", "").upper(), note.get("oct", "")
        if len(step) != 1 or step not in STEPS or octave not in _OCTAVES:
            return None
        pitch = Pitch(step, alter_of(note), int(octave))
        return pitch if self.setting.shift == (0, 0) else _shifted(pitch, self.setting.shift)

    def _length(self, element: etree._Element, rests: bool) -> Length:
        dots, ticks = element.get("dots"), element.get("dur.ppq")
        found = _length(element.get("dur"), dots, ticks, self.setting.ticks, self._ratio, rests)
        if found is None:
            self.unvalued += 1
            return Fraction(1), None
        return found


@cache
def _length(
    value: str | None,
    dots: str | None,
    ticks: str | None,
    quarter: int,
    ratio: tuple[int, int],
    rests: bool,
) -> Length | None:
    """Length and tuplet, None where neither value nor ticks say how long.

    `quarter` is the ticks of a quarter. The ticks are the truth where they differ from
    the written value by a tick or more; what they then tell of a note is its tuplet.
    """
    actual, normal = ratio
    tuplet = ratio if actual != normal else None
    value_q = written_q(value, dots)
    played_q = Fraction(whole(ticks), quarter) if quarter and ticks is not None else None
    if value_q is None:
        return None if played_q is None else (played_q, tuplet)
    written = value_q * normal / actual
    if played_q is None or abs(written - played_q) * quarter < 1:
        return written, tuplet
    told = played_q / value_q
    if not rests and 0 < told.numerator < told.denominator <= _TOP:
        tuplet = (told.denominator, told.numerator)
    return played_q, tuplet


def _shifted(pitch: Pitch, shift: tuple[int, int]) -> Pitch:
    octave, step = divmod(pitch.diatonic + shift[0], 7)
    natural = Pitch(STEPS[step], 0, octave)
    alter = pitch.midi + shift[1] - natural.midi
    return Pitch(natural.step, max(-2, min(2, alter)), octave)


def _signs(element: etree._Element) -> Iterator[str]:
    """Articulations, written as an attribute or as children."""
    for holder in (element, *element.iterchildren("{*}artic")):
        for sign in holder.get("artic", "").split():
            yield from_mei(sign)


def _verses(element: etree._Element) -> tuple[Verse, ...]:
    """Words of a note, or of a chord and the notes in it."""
    found = list(verses_of(element))
    if local(element) == "chord":
        for note in element.iterchildren("{*}note"):
            found.extend(verses_of(note))
    return tuple(found)
