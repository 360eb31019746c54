"""The measures of one part: voice after voice, texts and signatures in the first."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from lxml import etree

from suspirium.score.model import Hymn, Measure, Note
from suspirium.score.musicxml import attributes, barlines
from suspirium.score.musicxml.accidentals import AccidentalReader
from suspirium.score.musicxml.groups import beam_signs, tuplet_signs
from suspirium.score.musicxml.notes import NoteWriter, Signs
from suspirium.score.musicxml.parts import Part, VoiceText
from suspirium.score.sounding import key_at, time_at

_Between = list[tuple[Fraction, etree._Element]]


def measures_of(hymn: Hymn, part: Part) -> Iterator[etree._Element]:
    for index, measure in enumerate(hymn.measures):
        element = barlines.opened(hymn.measures, index)
        between = list(_between(hymn, part, measure))
        fifths = key_at(hymn, measure.onset_q).fifths
        staves = {voice.place.staff: AccidentalReader(fifths) for voice in part.voices}
        for place, voice in enumerate(part.voices):
            if place:
                _move(element, "backup", measure.duration_q, part, voice)
            writer = NoteWriter(voice.place, part.divisions, staves[voice.place.staff])
            _write_voice(element, hymn, measure, part, voice, writer, [] if place else between)
        barlines.close(element, hymn.measures, index)
        yield element


def _between(hymn: Hymn, part: Part, measure: Measure) -> Iterator[tuple[Fraction, etree._Element]]:
    """What is written between the notes of a measure, with its onset."""
    opening = measure is hymn.measures[0]
    keys = {change.onset_q: change for change in hymn.keys}
    times = {change.onset_q: change.time for change in hymn.times}
    inside = sorted({q for q in {*keys, *times} if measure.onset_q <= q < measure.end_q})
    for onset_q in inside:
        yield (
            onset_q,
            attributes.attributes(
                divisions=part.divisions if opening and onset_q == measure.onset_q else None,
                key=keys.get(onset_q),
                times=[times[onset_q]] if onset_q in times else [],
                clefs=part.clefs if opening and onset_q == measure.onset_q else (),
            ),
        )
    if not part.first:
        return
    for annotation in hymn.annotations:
        at_end = measure is hymn.measures[-1] and annotation.onset_q >= measure.end_q
        if measure.onset_q <= annotation.onset_q < measure.end_q or at_end:
            yield annotation.onset_q, attributes.words(annotation.text, 1)
    if opening and hymn.quarter_bpm is not None:
        yield measure.onset_q, attributes.tempo(hymn.quarter_bpm)


def _write_voice(
    element: etree._Element,
    hymn: Hymn,
    measure: Measure,
    part: Part,
    voice: VoiceText,
    writer: NoteWriter,
    between: _Between,
) -> None:
    """All a voice has in a measure, up to the barline."""
    indices = [
        i for i, note in enumerate(voice.notes) if measure.onset_q <= note.onset_q < measure.end_q
    ]
    inside = [voice.notes[i] for i in indices]
    tuplets = tuplet_signs(inside)
    beams = beam_signs(inside, tuplets)
    now_q = measure.onset_q
    for place, index in enumerate(indices):
        note = voice.notes[index]
        if note.onset_q > now_q:
            _move(element, "forward", note.onset_q - now_q, part, voice)
        between = _write_between(element, between, note.onset_q)
        signs = Signs(
            beams[place],
            tuplets[place],
            voice.slurs.stops.get(index, ()),
            voice.slurs.starts.get(index, ()),
            voice.tied_over[index],
            voice.lyrics.get(note.onset_q, ()),
        )
        if note.is_rest:
            element.extend(writer.rest(note, signs, _fills(hymn, measure, note)))
        else:
            element.extend(writer.note(note, signs))
        now_q = note.end_q
    if now_q < measure.end_q:
        _move(element, "forward", measure.end_q - now_q, part, voice)
    _write_between(element, between, measure.end_q + hymn.end_q)


def _write_between(element: etree._Element, between: _Between, until_q: Fraction) -> _Between:
    """Write what stands at or before a note; returns what is left."""
    for onset_q, written in between:
        if onset_q <= until_q:
            element.append(written)
    return [(onset_q, written) for onset_q, written in between if onset_q > until_q]


def _move(
    element: etree._Element, kind: str, length_q: Fraction, part: Part, voice: VoiceText
) -> None:
    """A step forward or back in time."""
    step = etree.SubElement(element, kind)
    etree.SubElement(step, "duration").text = str(int(length_q * part.divisions))
    if kind == "forward":
        etree.SubElement(step, "voice").text = str(voice.place.voice)
        etree.SubElement(step, "staff").text = str(voice.place.staff)


def _fills(hymn: Hymn, measure: Measure, note: Note) -> bool:
    """Whether a rest is one for the whole measure, whose length is told otherwise."""
    if note.onset_q != measure.onset_q or note.end_q != measure.end_q:
        return False
    time = time_at(hymn, measure.onset_q)
    return time is not None and time.bar_q == measure.duration_q
