"""Headers of ABC tunes: title, credits, tempo, and where a tune begins and ends."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from suspirium.errors import ScoreError
from suspirium.score.abc import read_abc
from suspirium.score.abc.credits import tune_name
from suspirium.score.abc.fields import quarter_bpm
from suspirium.score.model import Credit, Hymn

MUSIC = "M:4/4\nL:1/4\nK:C\nc d e f |]\n"


def read(header: str) -> Hymn:
    return read_abc(f"X:1\n{header}\n{MUSIC}")


def test_further_titles_are_credits():
    tune = read("T:First Light\nT:(also known as Morning Song)")
    assert tune.title == "First Light"
    assert tune.credits == (Credit("title", "also known as Morning Song"),)


def test_credits_by_their_labels():
    tune = read("T:A\nC:Words: Ann Example, 1847. Music: 'High Field' Ben Sample, 1861.\n"
                "C:Setting: Cora Test.\nS:The Invented Hymnal, 3")  # fmt: skip
    assert tune.credits == (
        Credit("words", "Ann Example, 1847."),
        Credit("music", "'High Field' Ben Sample, 1861."),
        Credit("setting", "Cora Test."),
        Credit("source", "The Invented Hymnal, 3"),
    )
    assert tune.tune == "High Field"


def test_one_credit_for_two_roles_and_a_line_that_goes_on():
    tune = read("C:Music and Setting: 'Low Road' Ben\nC:Sample, 1861.\nC:copyright: public domain")
    assert [(credit.role, credit.text) for credit in tune.credits] == [
        ("music", "'Low Road' Ben"),
        ("setting", "'Low Road' Ben Sample, 1861."),
        ("copyright", "public domain"),
    ]


@pytest.mark.parametrize(
    ("credit", "name"),
    [("'High Field' Ben Sample", "High Field"), ("“High Field” Ben Sample", "High Field"),
     ("‘St. Ann’s Well’, Ben", "St. Ann’s Well"), ("ST ANN, Ben Sample", "ST ANN"),
     ("'O Dass Ich's' by Ben", "O Dass Ich's"), ("Ben Sample, 1861", ""), ("", "")],
)  # fmt: skip
def test_names_of_tunes(credit: str, name: str):
    assert tune_name(credit) == name


@pytest.mark.parametrize(
    ("line", "metre"),
    [("T:8.6.8.6", "8.6.8.6"), ("C:8.7.8.7.D", "8.7.8.7.D"), ("C:(C.M.)", "C.M."),
     ("C:Metre: L.M.D.", "L.M.D."), ("N:10.10.10.10", "10.10.10.10"),
     ("C:8.7.8.7 with refrain", "8.7.8.7 with refrain"), ("C:Words: 8.7 Example", "")],
)  # fmt: skip
def test_printed_metres(line: str, metre: str):
    assert read(f"T:A\n{line}").metre == metre


@pytest.mark.parametrize(
    ("text", "bpm"),
    [("1/4=96", 96), ("96", 96), ("1/2=60", 120), ("3/8=60", 90), ('"Andante" 1/4=80', 80),
     ('1/4=80 "Andante"', 80), ("1/8=120", 60), ("1/4 3/8=40", 100), ("C=100", 50),
     ('"Slow"', None), ("", None), ("1/4=0", None), ("1/0=60", 30)],
)  # fmt: skip
def test_tempos(text: str, bpm: float | None):
    # ABC 2.1, 3.1.8; "C=" is the old form and counts unit lengths, here 1/8.
    assert quarter_bpm(text, F(1, 2)) == bpm


def test_the_tempo_of_a_tune():
    assert read("Q:1/4=88").quarter_bpm == 88
    assert read_abc("X:1\nK:C\nL:1/4\n[Q:1/4=70] c d e f |]\nQ:1/4=66\ng4|]\n").quarter_bpm == 66


def test_comments_directives_and_unknown_fields_say_nothing():
    tune = read_abc("%abc-2.1\n%%pagewidth 20cm\nX:1 % first\nT:Rising % not this\nZ:someone\n"
                    "m:~G3 = GAG\nR:hymn\n" + MUSIC.replace("|]", "|] % here") +
                    "% between\nP:B\ns:!f!\n%%vskip 2\nr:remark\n")  # fmt: skip
    assert tune.title == "Rising"
    assert len(tune.melody.notes) == 4
    assert not tune.remarks


def test_line_ends_and_marks_of_other_systems():
    text = "\ufeffX:1\nT:Test\n" + MUSIC
    assert read_abc(text.replace("\n", "\r\n")) == read_abc(text) == read_abc(
        text.replace("\n", "\r"))  # fmt: skip


def test_prose_after_a_blank_line_is_no_music():
    tune = read_abc("X:1\nT:Test\n" + MUSIC + "\nA dear friend sang this. Based on a theme.\n")
    assert len(tune.melody.notes) == 4


def test_words_and_voices_after_a_blank_line_still_belong_to_the_tune():
    tune = read_abc("X:1\nT:Test\nM:4/4\nL:1/4\nK:C\n[V:1] c4 |\n\n[V:1] d4 |]\n\nW:1. Far away\n")
    assert len(tune.melody.notes) == 2
    assert tune.plain_stanzas == (("Far away",),)


def test_only_the_first_of_several_tunes_is_read():
    tune = read_abc("X:1\nT:One\n" + MUSIC + "\nX:2\nT:Two\n" + MUSIC)
    assert tune.title == "One"
    assert any("2 tunes" in remark.text for remark in tune.remarks)


def test_a_music_line_may_begin_with_a_note_and_a_repeat_sign():
    tune = read_abc("X:1\nM:4/4\nL:1/4\nK:C\n|: c d e\nf:|\n")
    assert len(tune.melody.notes) == 4


@pytest.mark.parametrize(
    ("text", "message"),
    [("", "empty"), ("\n\n", "empty"), ("X:1\nT:Test\n", "no K: line"),
     ("X:1\nT:Test\nK:C\n", "no notes"), ("X:1\nK:C\nz4 |]\n", "no notes"),
     ("just some prose", "no K: line")],
)  # fmt: skip
def test_what_is_no_tune(text: str, message: str):
    with pytest.raises(ScoreError, match=message):
        read_abc(text)


def test_errors_name_their_line():
    with pytest.raises(ScoreError) as caught:
        read_abc("X:1\nT:Test\nM:four\nK:C\nc\n")
    assert str(caught.value).startswith("line 3: ")
