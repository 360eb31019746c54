"""Notes and rests as MusicXML elements."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree

from suspirium.score.decorations import ARTICULATIONS, BY_NAME, NOTATIONS, ORNAMENTS, TECHNICAL
from suspirium.score.model import Note
from suspirium.score.musicxml.accidentals import AccidentalReader
from suspirium.score.musicxml.groups import value_of
from suspirium.score.musicxml.lyrics import Lyric, add_lyric
from suspirium.score.musicxml.values import Value, note_value, rest_lengths
from suspirium.score.pitch import Pitch


@dataclass(frozen=True, slots=True)
class Place:
    """Where a voice is written: its number, its staff (from 1) and its stems."""

    voice: int
    staff: int
    stem: str = ""  # "up" or "down" where voices share the staff
    below: bool = False  # marks go under the staff


@dataclass(frozen=True, slots=True)
class Signs:
    """What binds a note to others: beams, tuplet, slurs by number, ties from before."""

    beams: Sequence[str] = ()
    tuplet: str = ""
    slur_stops: Sequence[int] = ()
    slur_starts: Sequence[int] = ()
    tied_over: Collection[Pitch] = ()
    lyrics: Sequence[Lyric] = ()


@dataclass(frozen=True, slots=True)
class NoteWriter:
    """Writes the notes of one voice in one measure."""

    place: Place
    divisions: int
    accidentals: AccidentalReader

    def rest(self, note: Note, signs: Signs, full_bar: bool) -> Iterator[etree._Element]:
        """A rest; a hidden one of no written value becomes several."""
        lengths = [note.duration_q]
        if not full_bar and note.tuplet is None:
            lengths = list(rest_lengths(note.duration_q))
        for place, length_q in enumerate(lengths):
            element = self._opened(note.hidden)
            rest = etree.SubElement(element, "rest")
            if full_bar:
                rest.set("measure", "yes")
            self._length(element, length_q)
            value = note_value(length_q) if note.tuplet is None else value_of(note)
            self._printed(element, None if full_bar else value, note.tuplet)
            if not place:
                self._beams(element, signs)
                self._notations(element, note, signs, False, first=True)
            yield element

    def note(self, note: Note, signs: Signs) -> Iterator[etree._Element]:
        """A note or chord with its grace notes before it; the first head carries the signs."""
        for pitch in note.graces:
            yield self._grace(pitch)
        for place, pitch in enumerate(note.pitches):
            element = self._opened(hidden=False)
            if place:
                etree.SubElement(element, "chord")
            self._pitch(element, pitch)
            self._length(element, note.duration_q)
            stops, starts = pitch in signs.tied_over, note.tied
            for kind, there in (("stop", stops), ("start", starts)):
                if there:
                    etree.SubElement(element, "tie", type=kind)
            accidental = self.accidentals.printed(pitch, stops)
            self._printed(element, value_of(note), note.tuplet, accidental)
            if not place:
                self._beams(element, signs)
            self._notations(element, note, signs, stops, first=not place)
            for lyric in signs.lyrics if not place else ():
                add_lyric(element, lyric)
            yield element

    def _opened(self, hidden: bool) -> etree._Element:
        element = etree.Element("note")
        if hidden:
            element.set("print-object", "no")
        return element

    def _grace(self, pitch: Pitch) -> etree._Element:
        element = etree.Element("note")
        etree.SubElement(element, "grace", slash="yes")
        self._pitch(element, pitch)
        accidental = self.accidentals.printed(pitch, False)
        self._printed(element, ("eighth", 0), None, accidental)
        return element

    def _pitch(self, element: etree._Element, pitch: Pitch) -> None:
        holder = etree.SubElement(element, "pitch")
        etree.SubElement(holder, "step").text = pitch.step
        if pitch.alter:
            etree.SubElement(holder, "alter").text = str(pitch.alter)
        etree.SubElement(holder, "octave").text = str(pitch.octave)

    def _length(self, element: etree._Element, length_q: Fraction) -> None:
        etree.SubElement(element, "duration").text = str(int(length_q * self.divisions))

    def _printed(
        self,
        element: etree._Element,
        value: Value | None,
        tuplet: tuple[int, int] | None,
        accidental: str | None = None,
    ) -> None:
        """Voice, note value, accidental, tuplet ratio, stem and staff, in the schema's order."""
        etree.SubElement(element, "voice").text = str(self.place.voice)
        if value is not None:
            etree.SubElement(element, "type").text = value[0]
            for _ in range(value[1]):
                etree.SubElement(element, "dot")
        if accidental is not None:
            etree.SubElement(element, "accidental").text = accidental
        if tuplet is not None:
            ratio = etree.SubElement(element, "time-modification")
            etree.SubElement(ratio, "actual-notes").text = str(tuplet[0])
            etree.SubElement(ratio, "normal-notes").text = str(tuplet[1])
        if self.place.stem and element.find("rest") is None:
            etree.SubElement(element, "stem").text = self.place.stem
        etree.SubElement(element, "staff").text = str(self.place.staff)

    def _beams(self, element: etree._Element, signs: Signs) -> None:
        for level, sign in enumerate(signs.beams, start=1):
            etree.SubElement(element, "beam", number=str(level)).text = sign

    def _notations(
        self, element: etree._Element, note: Note, signs: Signs, stops: bool, first: bool
    ) -> None:
        holder = etree.Element("notations")
        for kind, there in (("stop", stops), ("start", bool(note.pitches) and note.tied)):
            if there:
                etree.SubElement(holder, "tied", type=kind)
        if first:
            add_signs(holder, note, signs, self.place.below)
        if len(holder):
            element.append(holder)


def add_signs(holder: etree._Element, note: Note, signs: Signs, below: bool) -> None:
    """Slurs, tuplet bracket, fingering, articulations, breath and fermata of a note."""
    for kind, numbers in (("stop", signs.slur_stops), ("start", signs.slur_starts)):
        for number in numbers:
            etree.SubElement(holder, "slur", type=kind, number=str(number))
    if signs.tuplet:
        etree.SubElement(holder, "tuplet", type=signs.tuplet)
    known = [BY_NAME[name] for name in note.decorations if name in BY_NAME]
    for group in (ORNAMENTS, TECHNICAL, ARTICULATIONS):
        names = [decoration.musicxml for decoration in known if decoration.group == group]
        fingering = note.fingering if group == TECHNICAL else ()
        breath = note.breath and group == ARTICULATIONS
        if not (names or fingering or breath):
            continue
        parent = etree.SubElement(holder, group)
        for text in fingering:
            etree.SubElement(parent, "fingering").text = text
        for name in names:
            etree.SubElement(parent, name)
        if breath:
            etree.SubElement(parent, "breath-mark", placement="below" if below else "above")
    if note.fermata:
        etree.SubElement(holder, "fermata", type="inverted" if below else "upright")
    for decoration in known:
        if decoration.group == NOTATIONS:
            etree.SubElement(holder, decoration.musicxml)
