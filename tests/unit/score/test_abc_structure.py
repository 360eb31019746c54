"""Bars, repeats and voices of ABC tunes."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from suspirium.errors import ScoreError
from suspirium.score.abc import read_abc
from suspirium.score.abc.fields import staves, time_signature
from suspirium.score.model import Hymn, TimeSignature
from tests.build import four_part, hymn

HEADER = "X:1\nT:Test\nM:4/4\nL:1/4\n"


def bars(tune: Hymn) -> list[tuple[int, F, str, bool]]:
    return [(m.number, m.duration_q, m.right, m.continues) for m in tune.measures]


def names(body: str, header: str = "K:C") -> list[str]:
    return [voice.name for voice in read_abc(f"{HEADER}{header}\n{body}\n").voices]


@pytest.mark.parametrize(
    ("written", "expected"),
    [("C", TimeSignature(4, 4, "C")), ("C|", TimeSignature(2, 2, "¢")), ("none", None), ("", None),
     ("8/4", TimeSignature(8, 4)), ("(2+3)/8", TimeSignature(5, 8)),
     ("2+2+3/8", TimeSignature(7, 8)), (" 6 / 4 ", TimeSignature(6, 4))],
)  # fmt: skip
def test_time_signatures(written: str, expected: TimeSignature | None):
    assert time_signature(written) == expected


@pytest.mark.parametrize("written", ["3", "0/4", "4/0", "4/5", "x/y", "four"])
def test_what_is_no_time_signature(written: str):
    with pytest.raises(ScoreError, match="time signature"):
        time_signature(written)


def test_the_pickup_is_measure_0():
    tune = hymn("G | c d e f | g3 |]")
    assert bars(tune) == [(0, 1, "single", False), (1, 4, "single", False), (2, 3, "final", False)]
    assert tune.pickup_q == 1


def test_a_hymn_on_a_full_bar_has_no_pickup():
    assert hymn("c d e f | g4 |]").measures[0].number == 1


def test_free_metre_counts_its_bars_from_1():
    tune = hymn("c d | e f g a b |]", metre="none")
    assert [(m.number, m.duration_q) for m in tune.measures] == [(1, 2), (2, 5)]
    assert tune.times[0].time is None


def test_a_double_bar_inside_a_bar_splits_it():
    tune = hymn("G | c d e f | g3 || a | b c' d' e' | f3 |]")
    assert bars(tune) == [
        (0, 1, "single", False), (1, 4, "single", False), (2, 3, "double", False),
        (2, 1, "single", True), (3, 4, "single", False), (4, 3, "final", False)]  # fmt: skip


def test_short_bars_that_fill_no_bar_stay_bars_of_their_own():
    tune = hymn("c d e f | g2 | a2 b c' d' |]")
    assert [(m.number, m.continues) for m in tune.measures] == [(1, False), (2, False), (3, False)]


@pytest.mark.parametrize(
    ("bar", "style"),
    [("|", "single"), ("||", "double"), ("|]", "final"), ("[|", "double"), (".|", "dotted"),
     ("[|]", "none"), (":|", "final"), ("|:", "double")],
)  # fmt: skip
def test_barline_styles(bar: str, style: str):
    assert hymn(f"c4 {bar} d4 |]").measures[0].right == style


@pytest.mark.parametrize("middle", [":|:", "::", ":||:", ":|\n|:"])
def test_repeat_signs(middle: str):
    first, second = hymn(f"|: c4 {middle} d4 :|").measures
    assert (first.repeat_start, first.repeat_end) == (True, True)
    assert (second.repeat_start, second.repeat_end) == (True, True)


@pytest.mark.parametrize("endings", ["|1 d4 :|2 e4 ||", "| [1 d4 :| [2 e4 ||", "|[1 d4 :|[2 e4 |]"])
def test_endings(endings: str):
    tune = hymn(f"|: c4 {endings} f4 |]")
    assert [m.endings for m in tune.measures] == [(), (1,), (2,), ()]


def test_endings_of_several_passes():
    tune = hymn("|: c4 | [1,3 d4 :| [2-2 e4 :| [4 f4 |]")
    assert [m.endings for m in tune.measures] == [(), (1, 3), (2,), (4,)]


def test_an_ending_of_several_bars():
    tune = hymn("|: c4 |1 d4 | e4 :|2 f4 | g4 || a4 |]")
    assert [m.endings for m in tune.measures] == [(), (1,), (1,), (2,), (2,), ()]


def test_a_line_that_ends_inside_a_bar_goes_on():
    tune = hymn("c d e f | g a\nb c' | d'4 |]")
    assert [m.duration_q for m in tune.measures] == [4, 4, 4]


def test_music_without_a_last_barline_is_told():
    tune = hymn("c d e f | g4")
    assert tune.measures[-1].right == "none"
    assert [r.place.measure for r in tune.remarks if "end of the file" in r.text] == [2]


def test_a_time_signature_changed_inside_the_tune():
    tune = hymn("c d e f | [M:3/4] g a b |]")
    assert [(c.onset_q, str(c.time)) for c in tune.times] == [(0, "4/4"), (4, "3/4")]


def test_four_voices_by_their_staves():
    tune = four_part("c4 |]", "G4 |]", "E4 |]", "C4 |]")
    assert [(v.name, v.staff, v.clef) for v in tune.voices] == [
        ("soprano", 0, "treble"), ("alto", 0, "treble"), ("tenor", 1, "bass"), ("bass", 1, "bass"),
    ]  # fmt: skip


def test_the_staves_give_the_order_of_the_voices():
    tune = read_abc(f"{HEADER}%%score (S A) (T B)\nK:C\n"
                    "[V:B] C,4 |]\n[V:T] G,4 |]\n[V:A] E4 |]\n[V:S] c4 |]\n")  # fmt: skip
    assert [str(v.notes[0].pitches[0]) for v in tune.voices] == ["C5", "E4", "G3", "C3"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [("(S A) | (T B)", (("S", "A"), ("T", "B"))), ("{(S A) (T B)}", (("S", "A"), ("T", "B"))),
     ("[S|A|T|B]", (("S",), ("A",), ("T",), ("B",))), ("{RH *LH} P", (("RH",), ("LH",), ("P",))),
     ("1 2", (("1",), ("2",))), ("", ())],
)  # fmt: skip
def test_forms_of_staves(text: str, expected: tuple[tuple[str, ...], ...]):
    assert staves(text) == expected


def test_chords_on_two_staves_are_taken_apart():
    tune = read_abc(f"{HEADER}%%staves R | L\nV:R clef=treble\nV:L clef=bass\nK:C\n"
                    "[V:R] [Ec] [Fd] e [Fd] |]\n"
                    "[V:L] [C,G,] [D,A,] [G,,C,] [B,,G,] |]\n")  # fmt: skip
    assert [v.name for v in tune.voices] == ["soprano", "alto", "tenor", "bass"]
    assert [str(n.pitches[0]) for n in tune.voices[0].notes] == ["C5", "D5", "E5", "D5"]
    assert [str(n.pitches[0]) for n in tune.voices[1].notes] == ["E4", "F4", "E5", "F4"]
    assert [str(n.pitches[0]) for n in tune.voices[3].notes] == ["C3", "D3", "G2", "B2"]


def test_ties_inside_chords_stay_with_their_voice():
    tune = read_abc(f"{HEADER}K:C\n[Ec-] [Fc] [Ec] [Dc] |]\n")
    assert [n.tied for n in tune.voices[0].notes] == [True, False, False, False]
    assert not any(n.tied for n in tune.voices[1].notes)


def test_a_few_chords_stay_in_their_voice():
    tune = four_part("c d e [ce] |]", "G4 |]", "E4 |]", "[C,C]4 |]")
    assert [len(v.notes) for v in tune.voices] == [4, 1, 1, 1]
    assert len(tune.voices[3].notes[0].pitches) == 2


def test_organ_on_three_staves():
    tune = read_abc(f"{HEADER}%%staves {{R L}} P\nV:R clef=treble\nV:L clef=bass\nV:P clef=bass\n"
                    "K:C\n[V:R] [Ec]4 |]\n[V:L] G,4 |]\n[V:P] C,4 |]\n")  # fmt: skip
    assert [(v.name, v.staff) for v in tune.voices] == [
        ("soprano", 0), ("alto", 0), ("tenor", 1), ("bass", 2)]  # fmt: skip


def test_two_voices_on_each_staff_laid_over_each_other():
    tune = read_abc(f"{HEADER}K:C\nV:1 clef=treble\nc2 d2 & E4 | e4 & G4 |]\n"
                    "V:2 clef=bass\nG,4 & C,2 D,2 | C4 & C,4 |]\n")  # fmt: skip
    assert [v.name for v in tune.voices] == ["soprano", "alto", "tenor", "bass"]
    assert [str(v.notes[0].pitches[0]) for v in tune.voices] == ["C5", "E4", "G3", "C3"]


@pytest.mark.parametrize(
    ("voices", "expected"),
    [(["c4"], ["soprano"]), (["c4", "E4"], ["soprano", "alto"]),
     (["c4", "C,4"], ["soprano", "bass"]), (["c4", "E4", "C,4"], ["soprano", "alto", "bass"]),
     (["c4", "G,4", "C,4"], ["soprano", "tenor", "bass"])],
)  # fmt: skip
def test_names_of_fewer_voices(voices: list[str], expected: list[str]):
    assert names("\n".join(f"[V:{i}] {music} |]" for i, music in enumerate(voices))) == expected


def test_printed_names_of_fewer_voices_hold():
    header = 'V:1 name="Soprano"\nV:2 name="Tenor"\nK:C'
    assert names("[V:1] c4 |]\n[V:2] E4 |]", header) == ["soprano", "tenor"]


def test_a_voice_field_on_a_line_of_its_own():
    assert names("V:1\nc4 |]\nV:2\nE4 |]") == ["soprano", "alto"]


def test_a_named_voice_without_notes_is_told():
    tune = read_abc(f"{HEADER}V:1\nV:2\nK:C\n[V:1] c4 |]\n")
    assert len(tune.voices) == 1
    assert any(remark.place.voice == "2" for remark in tune.remarks)


def test_a_missing_barline_is_told_and_the_others_count():
    tune = four_part("c4 | d4 | e4 |]", "G4 | A4 G4 |]", "E4 | F4 | G4 |]", "C4 | D4 | C4 |]")
    assert len(tune.measures) == 3
    remark = next(r for r in tune.remarks if "barline" in r.text)
    assert (remark.place.measure, remark.place.voice) == (2, "alto")


def test_a_bar_of_another_length_is_an_error_with_its_place():
    with pytest.raises(ScoreError) as caught:
        four_part("c4 | d4 | e4 |]", "G4 | A3 | G4 |]", "E4 | F4 | G4 |]", "C4 | D4 | C4 |]")
    assert (caught.value.place.measure, caught.value.place.voice) == (2, "alto")
    assert "3 quarters here and 4 quarters" in caught.value.text


def test_a_voice_that_stops_is_an_error_with_its_place():
    with pytest.raises(ScoreError) as caught:
        four_part("c4 | d4 | e4 |]", "G4 | A4 | G4 |]", "E4 |]", "C4 | D4 | C4 |]")
    assert (caught.value.place.measure, caught.value.place.voice) == (2, "tenor")
    assert "8 quarters before" in caught.value.text
