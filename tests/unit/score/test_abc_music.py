"""Notes, lengths and signs of ABC music (ABC standard 2.1, section 4)."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from suspirium.errors import ScoreError
from suspirium.score.abc import read_abc
from suspirium.score.model import Hymn, Note
from tests.build import hymn


def notes(music: str, **fields: str) -> tuple[Note, ...]:
    return hymn(music, **fields).melody.notes  # type: ignore[arg-type]


def lengths(music: str, **fields: str) -> list[F]:
    return [note.duration_q for note in notes(music, **fields)]


def sounding(music: str, **fields: str) -> list[str]:
    return [str(pitch) for note in notes(music, **fields) for pitch in note.pitches]


def read(body: str, header: str = "M:4/4\nL:1/4\nK:C") -> Hymn:
    return read_abc(f"X:1\nT:Test\n{header}\n{body}\n")


def test_octaves_of_the_standard():
    # ABC 2.1, 4.1: C is middle C, c the octave above, marks move by octaves.
    assert sounding("C,, C, C c c' c'' c'',") == ["C2", "C3", "C4", "C5", "C6", "C7", "C6"]


@pytest.mark.parametrize(
    ("written", "quarters"),
    [("A", 1), ("A2", 2), ("A/", F(1, 2)), ("A/2", F(1, 2)), ("A//", F(1, 4)), ("A/4", F(1, 4)),
     ("A3/2", F(3, 2)), ("A3/", F(3, 2)), ("A7/4", F(7, 4)), ("z2", 2), ("x3/2", F(3, 2))],
)  # fmt: skip
def test_lengths_of_the_standard(written: str, quarters: F):
    assert lengths(f"{written} c|")[0] == quarters


@pytest.mark.parametrize(
    ("written", "quarters"),
    [("A>B", [F(3, 2), F(1, 2)]), ("A<B", [F(1, 2), F(3, 2)]), ("A>>B", [F(7, 4), F(1, 4)]),
     ("A > B", [F(3, 2), F(1, 2)]), ("A<<<B", [F(1, 8), F(15, 8)]),
     ("[FA]>[EG]", [F(3, 2), F(1, 2)]), ("A>{g}B", [F(3, 2), F(1, 2)])],
)  # fmt: skip
def test_broken_rhythm(written: str, quarters: list[F]):
    # ABC 2.1, 4.4: the first note is dotted, the second halved; more signs dot more.
    assert lengths(written) == quarters


@pytest.mark.parametrize(
    ("written", "metre", "quarters", "tuplet"),
    [
        ("(3ABc", "4/4", [F(2, 3)] * 3, (3, 2)),
        ("(2AB", "6/8", [F(3, 2)] * 2, (2, 3)),
        ("(4ABcd", "6/8", [F(3, 4)] * 4, (4, 3)),
        ("(6ABcdef", "4/4", [F(1, 3)] * 6, (6, 2)),
        ("(5ABcde", "4/4", [F(2, 5)] * 5, (5, 2)),
        ("(5ABcde", "9/8", [F(3, 5)] * 5, (5, 3)),
        ("(3:2:4ABcd", "4/4", [F(2, 3)] * 4, (3, 2)),
        ("(3::2A2B", "4/4", [F(4, 3), F(2, 3)], (3, 2)),
        ("(3 A B c", "4/4", [F(2, 3)] * 3, (3, 2)),
    ],
)
def test_tuplets(written: str, metre: str, quarters: list[F], tuplet: tuple[int, int]):
    # ABC 2.1, 4.13: (p:q:r is p notes in the time of q for the next r; defaults from p.
    found = notes(written, metre=metre)
    assert [note.duration_q for note in found] == quarters
    assert {note.tuplet for note in found} == {tuplet}


def test_a_tuplet_ends_after_its_notes():
    assert lengths("(3ABc d") == [F(2, 3), F(2, 3), F(2, 3), 1]


def test_chords_have_the_length_of_their_first_note_times_their_own():
    found = notes("[CE]2 [C2E2] [c2e]3/2 [CE]/ A A A A")
    assert [note.duration_q for note in found[:4]] == [2, 2, 3, F(1, 2)]
    assert [len(note.pitches) for note in found[:4]] == [2, 2, 2, 2]


def test_pitches_of_a_chord_ascend():
    assert [str(pitch) for pitch in notes("[cGE] A B")[0].pitches] == ["E4", "G4", "C5"]


def test_accidentals_hold_to_the_barline_for_every_octave():
    # ABC 2.1, 11.3: the default of %%propagate-accidentals is "pitch".
    assert sounding("^F F f | F") == ["F♯4", "F♯4", "F♯5", "F4"]
    assert sounding("_B =B ^^C __D", key="F") == ["B♭4", "B4", "C𝄪4", "D𝄫4"]


def test_accidentals_hold_for_their_octave_where_the_file_says_so():
    tune = read("^F F f", "%%propagate-accidentals octave\nM:4/4\nL:1/4\nK:C")
    assert [str(note.pitches[0]) for note in tune.melody.notes] == ["F♯4", "F♯4", "F5"]


def test_a_tie_carries_its_accidental_over_the_barline():
    found = notes("^F2- | F2 F2")
    assert [str(note.pitches[0]) for note in found] == ["F♯4", "F♯4", "F4"]
    assert [note.tied for note in found] == [True, False, False]


@pytest.mark.parametrize("tie", ["A-A", "A- A", "A -A", "A.-A", "[FA]-[FA]", "[F-A-][FA]"])
def test_ties(tie: str):
    assert [note.tied for note in notes(tie)] == [True, False]


@pytest.mark.parametrize("slur", ["(A B c) d", ".(A B c) d", "(A B c ) d"])
def test_slurs(slur: str):
    found = notes(slur)
    assert [note.slurs_begin for note in found] == [1, 0, 0, 0]
    assert [note.slurs_end for note in found] == [0, 0, 1, 0]


def test_nested_slurs():
    found = notes("(A (B c)) d")
    assert [note.slurs_begin for note in found] == [1, 1, 0, 0]
    assert [note.slurs_end for note in found] == [0, 0, 2, 0]


def test_a_slur_without_its_other_end_is_told():
    assert any("slur" in remark.text for remark in hymn("(A B c |]").remarks)
    assert any("slur" in remark.text for remark in hymn("A B) c |]").remarks)


def test_beams_join_what_is_written_together():
    found = notes("A/B/ c/ d/e/ AB (3ABc")
    beams = [note.beamed for note in found]
    assert beams == [False, True, False, False, True, False, False, False, True, True]


def test_graces_belong_to_the_next_note():
    found = notes("{gf}A {/e}B c")
    assert [[str(grace) for grace in note.graces] for note in found] == [["G5", "F5"], ["E5"], []]
    assert [note.duration_q for note in found] == [1, 1, 1]


@pytest.mark.parametrize("sign", ["!fermata!A", "+fermata+A", "HA", "!invertedfermata!A"])
def test_fermatas(sign: str):
    assert [note.fermata for note in notes(f"{sign} B")] == [True, False]


@pytest.mark.parametrize(
    ("written", "decoration"),
    [(".A", "staccato"), ("~A", "roll"), ("uA", "upbow"), ("vA", "downbow"), ("TA", "trill"),
     ("LA", "accent"), ("!accent!A", "accent"), ("!tenuto!A", "tenuto")],
)  # fmt: skip
def test_decorations(written: str, decoration: str):
    assert notes(written)[0].decorations == (decoration,)


def test_user_symbols():
    # ABC 2.1, 4.16: U: gives a letter a meaning.
    tune = read("TA B", "U: T = !tenuto!\nM:4/4\nL:1/4\nK:C")
    assert tune.melody.notes[0].decorations == ("tenuto",)


@pytest.mark.parametrize("breath", ["!breath!A", "!,!A", "!shortphrase!A"])
def test_breath_marks(breath: str):
    assert [note.breath for note in notes(f"{breath} B")] == [True, False]


def test_a_breath_mark_at_the_end_of_a_bar_follows_its_last_note():
    assert [note.breath for note in notes("A B !breath! | c")] == [False, True, False]


def test_fingerings_are_kept_apart_from_decorations():
    note = notes("!5!!tenuto!A")[0]
    assert note.fingering == ("5",)
    assert note.decorations == ("tenuto",)


def test_rests_seen_and_hidden():
    found = notes("z x A")
    assert [(note.is_rest, note.hidden) for note in found] == [
        (True, False), (True, True), (False, False)]  # fmt: skip


def test_a_rest_of_several_bars():
    tune = hymn("A4 | Z2 | B4 |]")
    assert [note.duration_q for note in tune.melody.notes] == [4, 4, 4, 4]
    assert len(tune.measures) == 4


def test_annotations_and_chord_symbols():
    tune = hymn('"^Refrain" A "Am" B "@10,20 here" c')
    assert [(mark.onset_q, mark.text) for mark in tune.annotations] == [(0, "Refrain"), (2, "here")]


def test_spacers_and_marks_without_meaning_change_nothing():
    assert lengths("A y B y3 C` D") == [1, 1, 1, 1]


def test_what_is_no_music_is_told():
    remark = next(r for r in hymn("A ? B # c").remarks if "no ABC music" in r.text)
    assert "?" in remark.text


def test_inline_fields():
    tune = read("A B c d | [M:3/4] [K:G] F F F | [L:1/8] F2 F2 F2 |]")
    assert [str(change.time) for change in tune.times] == ["4/4", "3/4"]
    assert [(change.onset_q, change.fifths) for change in tune.keys] == [(0, 0), (4, 1)]
    assert [note.duration_q for note in tune.melody.notes] == [1] * 10
    assert str(tune.melody.notes[4].pitches[0]) == "F♯4"


def test_a_music_line_goes_on_after_a_backslash():
    tune = read("A B \\\nc d |]\nw: one two three four")
    assert [s.text for s in tune.stanzas[0].syllables] == ["one", "two", "three", "four"]


def test_the_unit_length_without_an_l_field():
    # ABC 2.1, 3.1.7: 1/16 where the metre is less than 3/4, else 1/8.
    assert read("A", "M:2/4\nK:C").melody.notes[0].duration_q == F(1, 4)
    assert read("A", "M:3/4\nK:C").melody.notes[0].duration_q == F(1, 2)
    assert read("A", "M:6/8\nK:C").melody.notes[0].duration_q == F(1, 2)
    assert read("A", "K:C").melody.notes[0].duration_q == F(1, 2)


@pytest.mark.parametrize("broken", ["A0", "A/0", "A123456789", "Z/", "Z9999", "(0ABc", "A,,,,,,,"])
def test_impossible_notes_are_errors_with_their_line(broken: str):
    with pytest.raises(ScoreError) as caught:
        hymn(broken)
    assert caught.value.place.line == 6


def test_overlaid_voices_are_parts_of_their_own():
    # ABC 2.1, 7.4: & goes back to the start of the bar.
    tune = read("c4 | c d e f & E2 G2 | g4 |]")
    assert [voice.name for voice in tune.voices] == ["soprano", "alto"]
    low = tune.voices[1].notes
    assert [(note.onset_q, note.duration_q, note.hidden) for note in low] == [
        (0, 4, True), (4, 2, False), (6, 2, False), (8, 4, True)]  # fmt: skip
