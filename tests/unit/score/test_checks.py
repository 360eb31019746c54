"""Checks of hymns: what is told, and what can't be planned."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from suspirium.errors import Place, ScoreError
from suspirium.score.abc import read_abc
from suspirium.score.checks import check, checked
from suspirium.score.model import Hymn, Syllable
from suspirium.score.spoken import quarters
from tests.build import four_part, hymn

GOOD = four_part(
    "G | c d e f | g3 |]",
    "E | G2 G2 | G3 |]",
    "C | E2 D2 | D3 |]",
    "C, | C,2 B,,2 | G,,3 |]",
    words=("1.~O sing with me now all", "2.~O sing with us now all"),
)


def told(tune: Hymn) -> list[tuple[Place, str]]:
    return [(remark.place, remark.text) for remark in check(tune)]


def test_a_sound_hymn_gives_no_remark():
    assert check(GOOD) == ()
    assert checked(GOOD) == GOOD


def test_a_short_bar_is_told_with_its_measure():
    tune = four_part("c4 | d3 | e4 |]", "G4 | G3 | G4 |]", "E4 | D3 | E4 |]", "C4 | B,3 | C4 |]")
    assert told(tune) == [
        (Place(measure=2), "1 quarter short of the 4/4 of the time signature.")]  # fmt: skip


def test_parts_that_are_missing_are_listed():
    assert told(hymn("c4 |]")) == [(Place(), "Alto, tenor and bass are missing.")]
    three = replace(GOOD, voices=tuple(v for v in GOOD.voices if v.name != "tenor"))
    assert [text for _, text in told(three)] == ["Tenor is missing."]


def test_like_bars_are_told_together():
    tune = hymn("c d e f | g a b c' | e4 |]", metre="3/4")
    assert told(tune)[1] == (
        Place(measure=1), "1 quarter over the 3/4 of the time signature here and in 2 more bars.",
    )  # fmt: skip


def test_the_last_bar_may_lack_the_pickup_and_nothing_else():
    assert not any("time signature" in text for _, text in told(hymn("G | c4 | d3 |]")))
    assert any("time signature" in text for _, text in told(hymn("G | c4 | d2 |]")))


def test_a_section_opened_by_a_short_bar_may_close_with_one():
    tune = hymn("|: G | c4 | d3 :| c4 |: a | c4 | e3 :|")
    assert not any("time signature" in text for _, text in told(tune))


def test_words_that_end_before_the_music_are_told():
    tune = hymn("c d e f | g a b2 |]", words=("O sing with me now",))
    assert (
        Place(measure=2, voice="soprano"),
        "the words end before the music: 2 notes have none from here on.",
    ) in told(tune)


def test_free_metre_has_no_wrong_bars():
    assert not any("time" in text for _, text in told(hymn("c d | e f g |]", metre="none")))


def test_missing_voices_are_named():
    assert told(hymn("c4 |]")) == [(Place(), "Alto, tenor and bass are missing.")]


def test_a_voice_that_ends_early_in_the_last_bar_is_told():
    tune = four_part("c4 | d4 |]", "G4 | A3 |]", "E4 | F4 |]", "C4 | D4 |]")
    assert told(tune) == [(Place(2, "alto"), "this voice is 1 quarter shorter than the others.")]


@pytest.mark.parametrize("number", range(4))
def test_a_voice_of_another_length_is_an_error_that_names_it(number: int):
    voices = list(GOOD.voices)
    voices[number] = replace(voices[number], notes=voices[number].notes[:1])
    with pytest.raises(ScoreError) as caught:
        check(replace(GOOD, voices=tuple(voices)))
    assert caught.value.place == Place(1, GOOD.voices[number].name)
    assert "7 quarters shorter" in caught.value.text


def test_notes_that_overlap_or_leave_a_hole_are_told():
    melody = GOOD.voices[0]
    for shift_q, what in ((F(1, 2), "hole"), (F(-1, 2), "overlap")):
        moved = replace(melody.notes[2], onset_q=melody.notes[2].onset_q + shift_q)
        voice = replace(melody, notes=(*melody.notes[:2], moved, *melody.notes[3:]))
        tune = replace(GOOD, voices=(voice, *GOOD.voices[1:]))
        place, text = told(tune)[0]
        assert (place, what in text, "1/2 quarter" in text) == (Place(1, "soprano"), True, True)


def test_a_note_over_a_barline_is_told():
    tune = four_part("c4 | d4 |]", "G6 G2 |]", "E4 | F4 |]", "C4 | D4 |]")
    assert (Place(1, "alto"), "a note runs over the barline after this measure; "
            "write it as two tied notes.") in told(tune)  # fmt: skip


def test_a_stanza_without_words_where_others_sing_is_told():
    tune = hymn("c d e f | g a b c' |]",
                words=("1.~a b c d e f g h", "2.~a b c d e f g h", "3.~a b c d e f"))  # fmt: skip
    place, text = told(tune)[1]
    assert place == Place(2, "soprano", 3)
    assert "no words for 2 notes" in text


def test_a_syllable_under_no_note_is_told():
    stanza = GOOD.stanzas[0]
    stray = Syllable(F(3, 2), F(2), "stray")
    syllables = (*stanza.syllables[:2], stray, *stanza.syllables[2:])
    tune = replace(GOOD, stanzas=(replace(stanza, syllables=syllables), *GOOD.stanzas[1:]))
    assert (Place(1, "soprano", 1), "a syllable stands where its voice begins no note.") in told(
        tune)  # fmt: skip


def test_an_ending_that_no_repeat_reaches_is_told():
    tune = hymn("c4 |1 d4 |2 e4 |]")
    assert any("never played" in text for _, text in told(tune))


def test_nothing_but_unreached_endings_is_an_error():
    with pytest.raises(ScoreError, match="No bar is ever played"):
        check(hymn("|2 c4 |]"))


def test_a_score_without_notes_or_measures_is_an_error():
    with pytest.raises(ScoreError, match="no measures"):
        check(replace(GOOD, measures=()))
    silent = tuple(replace(v, notes=()) for v in GOOD.voices)
    with pytest.raises(ScoreError, match="no notes"):
        check(replace(GOOD, voices=silent))


def test_remarks_are_added_to_the_readers_own():
    tune = read_abc("X:1\nM:4/4\nL:1/4\nK:C\nc d ? e f |]\n")
    texts = [remark.text for remark in checked(tune).remarks]
    assert "no ABC music" in texts[0]
    assert "Alto, tenor and bass" in texts[1]


@pytest.mark.parametrize(
    ("length_q", "words"),
    [(F(1), "1 quarter"), (F(3), "3 quarters"), (F(1, 2), "1/2 quarter"),
     (F(7, 2), "3 1/2 quarters"), (F(0), "0 quarters")],
)  # fmt: skip
def test_lengths_in_words(length_q: F, words: str):
    assert quarters(length_q) == words
