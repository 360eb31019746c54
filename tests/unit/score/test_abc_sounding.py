"""ABC voices that sound elsewhere than written (ABC 2.1, 4.6: `octave=`, `transpose=`)."""

from __future__ import annotations

import pytest

from suspirium.errors import ScoreError
from suspirium.score.abc import read_abc
from suspirium.score.model import Hymn, Voice

HEADER = "X:1\nT:Test\nM:4/4\nL:1/4\n"


def sung(voice: Voice) -> str:
    return " ".join("+".join(str(pitch) for pitch in note.pitches) for note in voice.notes)


def said(tune: Hymn) -> list[str]:
    return [remark.text for remark in tune.remarks]


def test_a_voice_in_another_key_sounds_with_the_others():
    tune = read_abc(
        f"{HEADER}V:S\nV:B transpose=-2\nK:C\n[V:S] c d e f |]\n[V:B] [K:D] D E F G |]\n"
    )
    assert sung(tune.voices[1]) == "C4 D4 E4 F4"
    assert [(change.onset_q, change.fifths) for change in tune.keys] == [(0, 0)]
    assert said(tune) == [
        "this voice sounds 2 semitones lower than the file has it, by transpose=; it is read and "
        "printed as it sounds."
    ]


def test_a_whole_tune_moves_with_its_key():
    tune = read_abc(f"{HEADER}K:G transpose=3\nG A B c | [K:D] d e f g |]\n")
    assert sung(tune.melody) == "B♭4 C5 D5 E♭5 F5 G5 A5 B♭5"
    assert [(change.onset_q, change.fifths) for change in tune.keys] == [(0, -2), (4, -1)]


def test_a_voice_says_otherwise_than_the_key():
    tune = read_abc(
        f"{HEADER}V:S\nV:T transpose=0 octave=-1\nK:C transpose=12\n[V:S] c4 |]\n[V:T] c4 |]\n"
    )
    assert [sung(voice) for voice in tune.voices] == ["C6", "C4"]
    assert [text for text in said(tune) if "1 octave higher" in text]


def test_from_its_place_on_in_the_tune():
    tune = read_abc(f"{HEADER}K:C\nC D [K:octave=1] E F | [K:D transpose=-2] D E F G |]\n")
    assert sung(tune.melody) == "C4 D4 E5 F5 C5 D5 E5 F5"
    assert len(tune.keys) == 1


def test_a_tie_carries_a_written_accidental_on():
    tune = read_abc(f"{HEADER}K:C transpose=-2\nC D E ^F- | F4 |]\n")
    assert sung(tune.melody).endswith("E4 E4")


def test_grace_notes_and_overlaid_voices_move_too():
    tune = read_abc(f"{HEADER}K:C transpose=-12\n{{d}}c4 & E4 |]\n")
    assert [sung(voice) for voice in tune.voices] == ["C4", "E3"]
    assert [str(pitch) for pitch in tune.melody.notes[0].graces] == ["D4"]


def test_a_clef_with_8_keeps_it():
    tune = read_abc(
        f"{HEADER}V:S\nV:T clef=treble-8\nV:B clef=bass\nK:C\n"
        "[V:S] c4 |]\n[V:T] G4 |]\n[V:B] C,4 |]\n"
    )
    assert [(voice.name, voice.clef, sung(voice)) for voice in tune.voices] == [
        ("soprano", "treble", "C5"),
        ("tenor", "treble-8", "G3"),
        ("bass", "bass", "C3"),
    ]
    assert said(tune) == []


@pytest.mark.parametrize("field", ["transpose=Bb", "transpose=99", "octave=1.5", "octave=10"])
def test_what_is_no_number_is_an_error(field):
    with pytest.raises(ScoreError, match="whole number") as caught:
        read_abc(f"{HEADER}K:C {field}\nC4 |]\n")
    assert caught.value.place.line == 5
