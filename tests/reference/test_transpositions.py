"""Transposing voices sound where their instruments do.

Reference: music21's intervals (https://www.music21.org, BSD licence): the transpositions of
instruments as it has them, and of pitches and keys as it spells them.
"""

from __future__ import annotations

import pytest

from suspirium.score.abc import read_abc

music21 = pytest.importorskip("music21")

INSTRUMENTS = ("Clarinet", "Trumpet", "Horn", "EnglishHorn", "AltoSaxophone", "TenorSaxophone")
KEYS = {-3: "Eb", -2: "Bb", -1: "F", 0: "C", 1: "G", 2: "D", 3: "A", 4: "E"}
SCALE = "C D E F | ^F G A B | c _d ^d =e |]"


def named(pitch) -> str:
    return pitch.unicodeNameWithOctave


@pytest.mark.parametrize("fifths", KEYS)
@pytest.mark.parametrize("instrument", INSTRUMENTS)
def test_instruments(instrument, fifths):
    interval = getattr(music21.instrument, instrument)().transposition
    header = f"X:1\nT:Test\nM:4/4\nL:1/4\nK:{KEYS[fifths]}"
    written = read_abc(f"{header}\n{SCALE}\n")
    sounding = read_abc(f"{header} transpose={interval.semitones}\n{SCALE}\n")
    expected = [
        music21.pitch.Pitch(str(note.pitches[0]).replace("♯", "#").replace("♭", "-"))
        for note in written.melody.notes
    ]
    assert [str(note.pitches[0]) for note in sounding.melody.notes] == [
        named(pitch.transpose(interval)) for pitch in expected
    ]
    key = music21.key.KeySignature(fifths).transpose(interval)
    assert [change.fifths for change in sounding.keys] == [key.sharps]
