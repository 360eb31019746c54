"""Whole hymns in another key, spelled as music21 spells them.

Reference: music21's intervals (https://www.music21.org, BSD licence): every pitch of real
chorales from its corpus, moved by the interval from one tonic to the other.
"""

from __future__ import annotations

import pytest
from music21 import converter, corpus, interval, pitch
from music21.musicxml.m21ToXml import GeneralObjectExporter

from suspirium.score.reading import read
from suspirium.score.transpose import transposed

CHORALES = ("bach/bwv66.6", "bach/bwv269", "bach/bwv347", "bach/bwv86.6", "bach/bwv227.7")


def names(voices) -> list[list[str]]:
    return [[str(p) for note in voice.notes for p in note.pitches] for voice in voices]


def moved(name: str, by: interval.Interval) -> str:
    written = pitch.Pitch(name.replace("♯", "#").replace("♭", "-").replace("𝄪", "##"))
    return written.transpose(by).unicodeNameWithOctave


@pytest.mark.parametrize("semitones", [-3, -2, -1, 1, 2, 3, 5])
@pytest.mark.parametrize("chorale", CHORALES)
def test_pitches_are_spelled_alike(chorale: str, semitones: int) -> None:
    score = corpus.parse(chorale)
    source = GeneralObjectExporter(score).parse()
    hymn = read(source, "chorale.musicxml")
    result = transposed(hymn, semitones)
    steps = result.keys[0].fifths - hymn.keys[0].fifths
    by = next(
        found
        for found in (
            interval.Interval(f"{quality}{size}" if semitones > 0 else f"{quality}-{size}")
            for quality, size in (
                ("m", 2),
                ("M", 2),
                ("A", 1),
                ("m", 3),
                ("A", 2),
                ("P", 4),
                ("A", 3),
                ("d", 3),
            )
        )
        if found.semitones == semitones and fifths_of(found) == steps
    )
    assert names(result.voices) == [[moved(n, by) for n in voice] for voice in names(hymn.voices)]


def fifths_of(by: interval.Interval) -> int:
    """How far along the line of fifths an interval leads."""
    start = pitch.Pitch("C4")
    end = start.transpose(by)
    return "FCGDAEB".index(end.step) + 7 * int(end.alter) - 1


def test_the_export_is_read_as_it_is() -> None:
    score = corpus.parse(CHORALES[0])
    hymn = read(GeneralObjectExporter(score).parse(), "chorale.musicxml")
    again = converter.parse(GeneralObjectExporter(score).parse(), format="musicxml")
    heard = [p.midi for n in again.parts[0].flatten().notes for p in n.pitches]
    assert [p.midi for n in hymn.melody.notes for p in n.pitches] == heard
