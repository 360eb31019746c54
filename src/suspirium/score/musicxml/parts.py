"""Parts and their voices, ready to be written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from suspirium.score.model import Hymn, Measure, Note, Stanza, Voice
from suspirium.score.musicxml.lyrics import Lyric, lyrics_of
from suspirium.score.musicxml.notes import Place
from suspirium.score.musicxml.slurs import Slurs, numbered
from suspirium.score.pitch import Pitch

_STAVES_OF_ONE_PART = 2


@dataclass(frozen=True, slots=True)
class VoiceText:
    """One voice ready to be written: its notes cut at barlines, and what binds them."""

    place: Place
    notes: tuple[Note, ...]
    slurs: Slurs
    tied_over: list[frozenset[Pitch]]
    lyrics: dict[Fraction, list[Lyric]]


@dataclass(frozen=True, slots=True)
class Part:
    """A part: its staves' clefs and its voices; the first part carries texts and tempo."""

    name: str
    clefs: tuple[str, ...]
    voices: tuple[VoiceText, ...]
    first: bool
    divisions: int


def parts_of(hymn: Hymn) -> list[Part]:
    """The hymn's parts from the top: one for one or two staves, else one for each."""
    staves = sorted({voice.staff for voice in hymn.voices})
    groups = [staves] if len(staves) <= _STAVES_OF_ONE_PART else [[staff] for staff in staves]
    divisions = _divisions(hymn)
    found = []
    for group in groups:
        voices = [voice for voice in hymn.voices if voice.staff in group]
        clefs = [next(v.clef for v in voices if v.staff == staff) for staff in group]
        name = ", ".join(voice.name.capitalize() for voice in voices)
        notes = [tuple(_cut(voice.notes, hymn.measures)) for voice in voices]
        slurs = numbered(notes, [measure.end_q for measure in hymn.measures])
        texts = tuple(
            VoiceText(
                _place(hymn, voice, number + 1, group),
                notes[number],
                slurs[number],
                _ties(notes[number]),
                lyrics_of(notes[number], _words(hymn, voice)),
            )
            for number, voice in enumerate(voices)
        )
        found.append(Part(name, tuple(clefs), texts, group is groups[0], divisions))
    return found


def _divisions(hymn: Hymn) -> int:
    """Divisions of the quarter in which every length is a whole number."""
    lengths = {note.duration_q for voice in hymn.voices for note in voice.notes}
    lengths |= {note.onset_q for voice in hymn.voices for note in voice.notes}
    lengths |= {measure.onset_q for measure in hymn.measures} | {hymn.end_q}
    lengths |= {annotation.onset_q for annotation in hymn.annotations}
    return lcm(*(length.denominator for length in lengths))


def _words(hymn: Hymn, voice: Voice) -> list[Stanza]:
    every = (*hymn.stanzas, *hymn.other_words)
    return [stanza for stanza in every if stanza.voice == voice.name]


def _place(hymn: Hymn, voice: Voice, number: int, staves: Sequence[int]) -> Place:
    sharing = [other for other in hymn.voices if other.staff == voice.staff]
    rank = sharing.index(voice)
    stem = "" if len(sharing) == 1 else "up" if rank == 0 else "down"
    return Place(number, staves.index(voice.staff) + 1, stem, below=rank > 0)


def _cut(notes: Sequence[Note], measures: Sequence[Measure]) -> Iterator[Note]:
    """The notes; one that runs over a barline is tied notes on both sides of it."""
    barlines_q = [measure.end_q for measure in measures]
    for note in notes:
        inside = [q for q in barlines_q if note.onset_q < q < note.end_q]
        for barline_q in inside:
            first_q = barline_q - note.onset_q
            yield replace(
                note, duration_q=first_q, tied=not note.is_rest, fermata=False, breath=False,
                slurs_end=0,
            )  # fmt: skip
            note = replace(
                note, onset_q=barline_q, duration_q=note.duration_q - first_q, slurs_begin=0,
                beamed=False, graces=(), fingering=(), decorations=(),
            )  # fmt: skip
        yield note


def _ties(notes: Sequence[Note]) -> list[frozenset[Pitch]]:
    """For each note the pitches that are tied over from the note before."""
    found: list[frozenset[Pitch]] = []
    held: frozenset[Pitch] = frozenset()
    for note in notes:
        found.append(held & frozenset(note.pitches))
        held = frozenset(note.pitches) if note.tied else frozenset()
    return found
