"""A hymn as MEI for the engraver: one or two staves, own ids, system breaks given.

Every note's id is ``n<voice>-<index>`` (``n<voice>-<index>-<part>`` for the parts of a
length that needs ties), every piece of a measure ``m<index>``.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from lxml import etree

from suspirium.render.engrave.accidentals import Accidentals, fifths_at
from suspirium.render.engrave.staffing import Piece, Staffing, staffing
from suspirium.render.engrave.values import figures
from suspirium.score.model import Hymn, KeyChange, Note, Syllable, TimeChange
from suspirium.score.pitch import Pitch, key_alter

_NS = "http://www.music-encoding.org/ns/mei"
# The stubs know no default namespace, lxml does.
_NSMAP: Any = {None: _NS}
_XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
_ACCIDENTALS = {-2: "ff", -1: "f", 0: "n", 1: "s", 2: "x"}
_BARS = {"single": "single", "double": "dbl", "final": "end", "dotted": "dotted", "none": "invis"}


class MeiWriter:
    """Builds the MEI of one hymn; `stanzas` are set under the melody."""

    def __init__(
        self,
        hymn: Hymn,
        stanzas: Sequence[int],
        *,
        staves: Staffing | None = None,
    ) -> None:
        """`staves` share the voices otherwise than usual."""
        self.hymn = hymn
        self.staffing = staves or staffing(hymn)
        self.words = {
            stanza.number: _by_onset(stanza.syllables)
            for stanza in hymn.stanzas
            if stanza.number in stanzas
        }
        self.onset_of: dict[str, Fraction] = {}
        self._rows: dict[int, int] = {}
        self._tied: dict[int, frozenset[Pitch]] = {}
        self._slurs: dict[int, list[str]] = {}
        self._accidentals = Accidentals(hymn)

    def write(self, parts: Sequence[Piece]) -> str:
        """The whole document for these pieces."""
        mei = etree.Element(f"{{{_NS}}}mei", nsmap=_NSMAP)
        music = _sub(mei, "music")
        mdiv = _sub(_sub(music, "body"), "mdiv")
        score = _sub(mdiv, "score")
        self._score_def(score, parts[0])
        section = _sub(score, "section")
        ending: tuple[tuple[int, ...], etree._Element] | None = None
        for index, piece in enumerate(parts):
            numbers = piece.measure.endings
            if ending is not None and ending[0] != numbers:
                ending = None
            parent = ending[1] if ending else section
            if index:
                self._changes(parent, piece)
            if piece.breaks_before:
                _sub(parent, "sb")
            if piece.breaks_before or not index:
                self._rows = self._rows_from(parts, index)
            if numbers and ending is None:
                label = ", ".join(f"{number}." for number in numbers)
                ending = (numbers, _sub(section, "ending", n=label))
            self._measure(ending[1] if ending else section, index, piece)
        return etree.tostring(mei, encoding="unicode")

    def _rows_from(self, parts: Sequence[Piece], index: int) -> dict[int, int]:
        """The stanzas that have words in the system which begins here, numbered from the top."""
        rest = parts[index:]
        end = next(
            (place for place, piece in enumerate(rest) if place and piece.breaks_before), None
        )
        start_q, end_q = rest[0].start_q, rest[:end][-1].end_q
        present = [
            number
            for number, words in self.words.items()
            if any(start_q <= onset_q < end_q for onset_q in words)
        ]
        return {number: row for row, number in enumerate(present, 1)}

    def _score_def(self, score: etree._Element, first: Piece) -> None:
        definition = _sub(score, "scoreDef")
        self._signatures(definition, first.start_q, initial=True)
        group = _sub(definition, "staffGrp", **{"bar.thru": "false"})
        if len(self.staffing.staves) > 1:
            group.set("symbol", "none")
        for number, clef in enumerate(self.staffing.clefs, 1):
            line = "2" if clef == "G" else "4"
            _sub(
                group,
                "staffDef",
                n=str(number),
                lines="5",
                **{"clef.shape": clef, "clef.line": line},
            )

    def _signatures(self, parent: etree._Element, at_q: Fraction, *, initial: bool) -> None:
        times = [t for t in self.hymn.times if t.onset_q == at_q]
        keys = [k for k in self.hymn.keys if k.onset_q == at_q]
        if initial:
            times, keys = times or [self.hymn.times[0]], keys or [self.hymn.keys[0]]
        for key in keys:
            _sub(parent, "keySig", sig=_key(key))
        for time in times:
            if time.time is not None:
                _sub(parent, "meterSig", count=str(time.time.beats), unit=str(time.time.unit))

    def _changes(self, section: etree._Element, piece: Piece) -> None:
        changes: list[TimeChange | KeyChange] = [*self.hymn.times, *self.hymn.keys]
        if any(change.onset_q == piece.start_q for change in changes):
            self._signatures(_sub(section, "scoreDef"), piece.start_q, initial=False)

    def _measure(self, section: etree._Element, index: int, piece: Piece) -> None:
        measure = _sub(section, "measure", n=str(piece.measure.number))
        measure.set(_XML_ID, f"m{index}")
        bar_q = piece.measure.duration_q
        if piece.end_q - piece.start_q != bar_q or piece.measure.number == 0:
            measure.set("metcon", "false")
        if piece.measure.repeat_start and piece.first:
            measure.set("left", "rptstart")
        right = _BARS.get(piece.measure.right, "single")
        if piece.measure.repeat_end:
            right = "rptend"
        measure.set("right", right if piece.last else "invis")
        if piece.first and not piece.measure.continues:
            self._accidentals.clear()
        self._staves(measure, piece)

    def _staves(self, measure: etree._Element, piece: Piece) -> None:
        after: list[etree._Element] = []
        for number, members in enumerate(self.staffing.staves, 1):
            staff = _sub(measure, "staff", n=str(number))
            notes = {voice: self._inside(voice, piece) for voice in members}
            printed = self._accidentals.printed(number, notes)
            for layer_number, voice in enumerate(members, 1):
                layer = _sub(staff, "layer", n=str(layer_number))
                self._layer(layer, voice, notes[voice], printed, after)
        measure.extend(after)

    def _inside(self, voice: int, piece: Piece) -> list[tuple[int, Note]]:
        notes = self.hymn.voices[voice].notes
        first, last = (
            bisect_left(notes, at_q, key=lambda note: note.onset_q)
            for at_q in (piece.start_q, piece.end_q)
        )
        return [(index, notes[index]) for index in range(first, last)]

    def _layer(
        self,
        layer: etree._Element,
        voice: int,
        notes: list[tuple[int, Note]],
        printed: set[tuple[int, int, Pitch]],
        after: list[etree._Element],
    ) -> None:
        parent = layer
        for place, (index, note) in enumerate(notes):
            following = notes[place + 1][1] if place + 1 < len(notes) else None
            starts = _beamable(note) and following is not None and following.beamed
            if not (note.beamed and _beamable(note) and parent is not layer):
                parent = layer
                if starts and following is not None and _beamable(following):
                    parent = _sub(layer, "beam")
            self._note(self._tuplet(parent, note), voice, index, note, printed, after)

    def _tuplet(self, parent: etree._Element, note: Note) -> etree._Element:
        if note.tuplet is None:
            return parent
        actual, normal = note.tuplet
        last = parent[-1] if len(parent) else None
        if last is not None and last.tag.endswith("tuplet") and len(last) < actual:
            return last
        return _sub(parent, "tuplet", num=str(actual), numbase=str(normal))

    def _note(
        self,
        parent: etree._Element,
        voice: int,
        index: int,
        note: Note,
        printed: set[tuple[int, int, Pitch]],
        after: list[etree._Element],
    ) -> None:
        length_q = note.duration_q
        if note.tuplet is not None:
            length_q = length_q * note.tuplet[0] / note.tuplet[1]
        if note.graces:
            self._graces(parent, f"g{voice}-{index}", note)
        parts = figures(length_q)
        onset_q = note.onset_q
        before = self._tied.get(voice, frozenset())
        for part, (value, dots, part_q) in enumerate(parts):
            name = f"n{voice}-{index}" + (f"-{part}" if part else "")
            tied = note.tied or part < len(parts) - 1
            element = self._figure(parent, name, value, dots, note)
            self.onset_of[name] = onset_q
            if not note.is_rest:
                self._pitches(
                    element, name, voice, index, note, printed if not part else set(), before, tied
                )
                before = frozenset(note.pitches) if tied else frozenset()
            if part == 0 and voice == 0:
                self._verses(element, note)
            onset_q += part_q
        self._tied[voice] = before
        self._slurred(voice, f"n{voice}-{index}", note, after)
        for finger in note.fingering:
            element = etree.Element(
                f"{{{_NS}}}fing",
                startid=f"#n{voice}-{index}",
                place="above" if not voice else "below",
            )
            element.text = finger
            after.append(element)
        if note.fermata and voice in (0, self.staffing.staves[-1][-1]) and not note.is_rest:
            place = "above" if voice == 0 else "below"
            after.append(
                etree.Element(f"{{{_NS}}}fermata", startid=f"#n{voice}-{index}", place=place)
            )

    def _graces(self, parent: etree._Element, name: str, note: Note) -> None:
        """Small notes before the note, as the source prints them."""
        for number, pitch in enumerate(note.graces):
            element = _sub(parent, "note", dur="8", grace="unacc")
            element.set(_XML_ID, f"{name}-{number}")
            element.set("pname", pitch.step.lower())
            element.set("oct", str(pitch.octave))
            if pitch.alter != key_alter(pitch.step, fifths_at(self.hymn, note.onset_q)):
                element.set("accid", _ACCIDENTALS[pitch.alter])

    def _figure(
        self, parent: etree._Element, name: str, value: str, dots: int, note: Note
    ) -> etree._Element:
        kind = "note"
        if note.is_rest:
            kind = "space" if note.hidden else "rest"
        elif len(note.pitches) > 1:
            kind = "chord"
        element = _sub(parent, kind, dur=value)
        element.set(_XML_ID, name)
        if dots:
            element.set("dots", str(dots))
        return element

    def _pitches(
        self,
        element: etree._Element,
        name: str,
        voice: int,
        index: int,
        note: Note,
        printed: set[tuple[int, int, Pitch]],
        before: frozenset[Pitch],
        tied: bool,
    ) -> None:
        for number, pitch in enumerate(note.pitches):
            target = element
            if len(note.pitches) > 1:
                target = _sub(element, "note")
                target.set(_XML_ID, f"{name}p{number}")
            target.set("pname", pitch.step.lower())
            target.set("oct", str(pitch.octave))
            sign = _ACCIDENTALS[pitch.alter]
            if (voice, index, pitch) in printed:
                target.set("accid", sign)
            elif pitch.alter:
                target.set("accid.ges", sign)
            tie = {(True, True): "m", (True, False): "t", (False, True): "i"}.get(
                (pitch in before, tied)
            )
            if tie:
                target.set("tie", tie)

    def _slurred(self, voice: int, name: str, note: Note, after: list[etree._Element]) -> None:
        open_slurs = self._slurs.setdefault(voice, [])
        for _ in range(min(note.slurs_end, len(open_slurs))):
            start = open_slurs.pop()
            if start != name:
                side = (
                    "above" if any(voice == staff[0] for staff in self.staffing.staves) else "below"
                )
                slur = etree.Element(
                    f"{{{_NS}}}slur", startid=f"#{start}", endid=f"#{name}", curvedir=side
                )
                slur.set(_XML_ID, f"slur{self._staff_of(voice)}-{start}-{name}")
                after.append(slur)
        open_slurs.extend(name for _ in range(note.slurs_begin))

    def _staff_of(self, voice: int) -> int:
        return next(n for n, members in enumerate(self.staffing.staves) if voice in members)

    def _verses(self, element: etree._Element, note: Note) -> None:
        for number, words in self.words.items():
            syllable = words.get(note.onset_q)
            if syllable is None:
                continue
            verse = _sub(element, "verse", n=str(self._rows[number]))
            syl = _sub(verse, "syl")
            syl.text = syllable.text
            if syllable.joins_next:
                syl.set("con", "d")
                syl.set("wordpos", "i")


def _beamable(note: Note) -> bool:
    return not note.is_rest and note.duration_q < 1


def _by_onset(syllables: tuple[Syllable, ...]) -> dict[Fraction, Syllable]:
    return {syllable.onset_q: syllable for syllable in syllables}


def _sub(parent: etree._Element, tag: str, **attributes: str) -> etree._Element:
    return etree.SubElement(parent, f"{{{_NS}}}{tag}", attrib=attributes)


def _key(key: KeyChange) -> str:
    if key.fifths == 0:
        return "0"
    return f"{abs(key.fifths)}{'s' if key.fifths > 0 else 'f'}"
