"""Key signatures in ABC (ABC standard 2.1, section 3.1.14)."""

from __future__ import annotations

import pytest

from suspirium.errors import ScoreError
from suspirium.score.abc import read_abc
from suspirium.score.abc.key import read_key
from suspirium.score.pitch import STEPS

# The table of modes in ABC 2.1, 3.1.14: each row is one signature.
SIGNATURES = {
    7: "C# A#m G#mix D#dor E#phr F#lyd B#loc",
    6: "F# D#m C#mix G#dor A#phr Blyd E#loc",
    5: "B G#m F#mix C#dor D#phr Elyd A#loc",
    4: "E C#m Bmix F#dor G#phr Alyd D#loc",
    3: "A F#m Emix Bdor C#phr Dlyd G#loc",
    2: "D Bm Amix Edor F#phr Glyd C#loc",
    1: "G Em Dmix Ador Bphr Clyd F#loc",
    0: "C Am Gmix Ddor Ephr Flyd Bloc",
    -1: "F Dm Cmix Gdor Aphr Bblyd Eloc",
    -2: "Bb Gm Fmix Cdor Dphr Eblyd Aloc",
    -3: "Eb Cm Bbmix Fdor Gphr Ablyd Dloc",
    -4: "Ab Fm Ebmix Bbdor Cphr Dblyd Gloc",
    -5: "Db Bbm Abmix Ebdor Fphr Gblyd Cloc",
    -6: "Gb Ebm Dbmix Abdor Bbphr Cblyd Floc",
    -7: "Cb Abm Gbmix Dbdor Ebphr Fblyd Bbloc",
}


@pytest.mark.parametrize(
    ("text", "fifths"),
    [(name, fifths) for fifths, names in SIGNATURES.items() for name in names.split()],
)
def test_the_table_of_modes(text: str, fifths: int):
    assert read_key(text).fifths == fifths


@pytest.mark.parametrize(
    ("text", "mode"),
    [("D", "major"), ("D maj", "major"), ("Dion", "major"), ("Dm", "minor"), ("D minor", "minor"),
     ("Daeo", "minor"), ("D Mixolydian", "mixolydian"), ("D DORIAN", "dorian"),
     ("Dphr", "phrygian"), ("Dlydian", "lydian"), ("Dloc", "locrian"), ("none", "none"),
     ("", "none")],
)  # fmt: skip
def test_names_of_modes(text: str, mode: str):
    assert read_key(text).mode == mode


def test_explicit_accidentals_change_the_signature():
    # ABC 2.1: "K:D =c" is D mixolydian's signature, "K:D Phr ^f" has a sharp of its own.
    assert read_key("D =c").fifths == 1
    altered = read_key("D Phr ^f")
    assert {step for step in STEPS if altered.alters[step] > 0} == {"F"}
    assert {step for step in STEPS if altered.alters[step] < 0} == {"B", "E"}


def test_an_explicit_signature_has_only_its_accidentals():
    key = read_key("D exp _b _e ^f")
    assert dict(key.alters) == {"C": 0, "D": 0, "E": -1, "F": 1, "G": 0, "A": 0, "B": -1}


def test_a_field_with_only_a_clef_changes_no_key():
    assert not read_key("clef=bass").given
    assert not read_key("bass").given
    assert read_key("none").given


@pytest.mark.parametrize("text", ["C clef=bass", "C bass", "C middle=d clef=bass", "C clef=F4"])
def test_clefs_beside_the_key(text: str):
    key = read_key(text)
    assert (key.fifths, key.mode, key.settings.clef) == (0, "major", "bass")


@pytest.mark.parametrize(
    ("field", "octave"),
    [("C", 4), ("C octave=-1", 3), ("C clef=treble-8", 3), ("C treble+8", 5),
     ("C clef=treble-8 octave=1", 4), ("C transpose=-12", 3)],
)  # fmt: skip
def test_octave_shifts(field: str, octave: int):
    tune = read_abc(f"X:1\nT:Test\nL:1/4\nK:{field}\nC D E F |]\n")
    assert tune.melody.notes[0].pitches[0].octave == octave


@pytest.mark.parametrize("text", ["H##", "g minor", "?", "Xmaj clef=bass"])
def test_what_is_no_key_is_an_error(text: str):
    with pytest.raises(ScoreError, match="is no key") as caught:
        read_abc(f"X:1\nT:Test\nL:1/4\nK:{text}\nC D E F |]\n")
    assert caught.value.place.line == 4


@pytest.mark.parametrize("text", ["perc", "clef=none", "treble-8", "bass3", "stafflines=1"])
def test_what_only_says_how_it_is_drawn_is_no_key(text: str):
    assert not read_key(text).given


def test_more_than_seven_signs_is_an_error():
    with pytest.raises(ScoreError, match="8 sharps"):
        read_key("G#")


def test_a_key_changed_in_one_voice_only_is_told():
    tune = read_abc("X:1\nT:Test\nL:1/4\nM:4/4\nK:C\n[V:1] c4 | [K:G] c4 |]\n[V:2] E4 | E4 |]\n")
    assert [change.fifths for change in tune.keys] == [0, 1]
    assert any("key changes otherwise" in remark.text for remark in tune.remarks)
