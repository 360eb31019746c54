"""Repeats within a stanza and repeats that lead to the next stanza."""

from __future__ import annotations

import pytest

from suspirium.score.abc import read_abc
from suspirium.score.checks import check
from suspirium.score.mei import read_score
from suspirium.score.model import Hymn
from suspirium.score.musicxml import write_musicxml
from suspirium.score.order import passages
from suspirium.score.turns import led_stanzas, repeated_words, sung_in_turn
from suspirium.score.words import plain_text

HEADER = "X:1\nT:Test\nM:4/4\nL:1/4\nK:C\n"
A, B, C = "c d e f", "g g g g", "a a a a"
ENDS = {1: "e f g h", 2: "* * * * e f g h"}  # words under the first ending, under the second


def read(body: str) -> Hymn:
    return read_abc(HEADER + body)


def lines(*words: str) -> str:
    return "".join(f"w: {n}.~{text}\n" for n, text in enumerate(words, start=1))


def played(tune: Hymn, stanza: int | None = None) -> str:
    """The bars in the order of playing, by letters."""
    return "".join(
        "ABCDE"[int(q) // 4]
        for part in passages(tune, stanza)
        for q in range(int(part.start_q), int(part.end_q), 4)
    )


def told(tune: Hymn) -> list[str]:
    texts = [remark.text for remark in check(tune)]
    return [text for text in texts if any(word in text for word in ("repeat", "ending", "times"))]


FIRST, LAST = f"a b c d {ENDS[1]}", f"a b c d {ENDS[2]}"
LAST_ENDING = read(f"|: {A} |[1,2,3 {B} :|[4 {C} |]\n" + lines(FIRST, FIRST, FIRST, LAST))


def test_each_stanza_has_the_ending_of_its_number():
    assert [played(LAST_ENDING, n) for n in (1, 2, 3, 4)] == ["AB", "AB", "AB", "AC"]
    assert played(LAST_ENDING) == "AC"
    assert led_stanzas(LAST_ENDING) == (1, 2, 3, 4)
    assert told(LAST_ENDING) == [
        "the repeat that begins here leads to the next stanza; each sings it once, with the "
        "ending of its number, the last stanza with the last ending."
    ]


def test_it_is_read_alike_from_musicxml():
    tune = read_score(write_musicxml(LAST_ENDING), "hymn.musicxml")
    assert [m.endings for m in tune.measures] == [(), (1, 2, 3), (4,)]
    assert [played(tune, n) for n in (1, 2, 3, 4)] == ["AB", "AB", "AB", "AC"]


def test_stanzas_missing_under_an_ending_that_is_not_theirs_are_not_missing():
    assert not any("no words for" in remark.text for remark in check(LAST_ENDING))


def test_first_and_second_ending_for_all_but_the_last_stanza():
    tune = read(f"|: {A} |1 {B} :|2 {C} |]\n" + lines(FIRST, FIRST, LAST))
    assert [played(tune, n) for n in (1, 2, 3)] == ["AB", "AB", "AC"]


def test_two_stanzas_of_a_whole_repeated_hymn_are_sung_once_each():
    tune = read(f"|: {A} | {B} :|\n" + lines("a b c d e f g h", "i j k l m n o p"))
    assert [played(tune, n) for n in (1, 2)] == ["AB", "AB"]
    assert told(tune) == [
        "the repeat that begins here leads to the next stanza; each sings it once."
    ]


def test_two_stanzas_with_an_ending_each():
    tune = read(f"|: {A} |1 {B} :|2 {C} |]\n" + lines(FIRST, LAST))
    assert [played(tune, n) for n in (1, 2)] == ["AB", "AC"]


def test_a_stanza_with_words_under_both_endings_repeats_within_itself():
    tune = read(f"|: {A} |1 {B} :|2 {C} |]\n" + lines(*["a b c d e f g h i j k l"] * 3))
    assert [played(tune, n) for n in (1, 2, 3)] == ["ABAC"] * 3
    assert told(tune) == []


def test_a_repeat_within_the_stanza_when_words_go_on_together():
    tune = read(f"|: {A} :| {B} |]\n" + lines(*["a b c d e f g h"] * 4))
    assert [played(tune, n) for n in (1, 4)] == ["AAB", "AAB"]


def test_a_refrain_after_the_repeat_is_sung_by_every_stanza():
    words = lines(f"{FIRST} * * * * r e f r", FIRST, LAST)
    tune = read(f"|: {A} |[1-2 {B} :|[3 {C} || {A} |]\n" + words)
    assert [played(tune, n) for n in (1, 2, 3)] == ["ABD", "ABD", "ACD"]


def test_stanzas_printed_apart_count():
    apart = "".join(f"W: {n}. words\nW:\n" for n in (2, 3))
    tune = read(f"|: {A} |[1,2 {B} :|[3 {C} |]\nw: 1.~a b c d e f g h i j k l\n{apart}")
    assert len(tune.plain_stanzas) == 2
    assert [played(tune, n) for n in (1, 2, 3)] == ["AB", "AB", "AC"]


def test_a_stanza_alone_repeats_as_its_endings_say():
    tune = read(f"|: {A} |[1,2 {B} :|[3 {C} |]\nw: a b c d e f g h i j k l\n")
    assert played(tune, 1) == "ABABAC"
    assert told(tune) == ["the section that begins here is played 3 times in every stanza."]


def test_a_second_ending_after_a_repeat_without_a_first():
    assert played(read(f"|: {A} :|2 {B} |]\n")) == "AAB"


def test_an_ending_to_which_nothing_leads_is_told():
    tune = read(f"|: {A} |1 {B} :| {A} |3 {C} |]\n")
    assert played(tune) == "ABAC"
    assert told(tune) == ["this ending is never played; no repeat sign leads to it."]


def test_passes_have_the_words_of_their_ending():
    words = lines(f"{FIRST} * * * * i j k l", "m n o p * * * * q r s t")
    tune = read(f"|: {A} |1 {B} :|2 {C} || {A} |]\n" + words)
    assert repeated_words(tune) is not None
    assert told(tune) == [
        "the two lines of words in the repeat that begins here are read as one stanza's first and "
        "second time."
    ]
    assert led_stanzas(tune) == (1,)
    assert played(tune, 1) == "ABACD"
    assert plain_text(sung_in_turn(tune, 1, 1)) == "a b c d e f g h i j k l"
    assert plain_text(sung_in_turn(tune, 1, 2)) == "m n o p q r s t i j k l"


@pytest.mark.parametrize("count", [2, 3, 5])
def test_more_or_fewer_stanzas_than_endings(count):
    words = lines(*[FIRST] * (count - 1), LAST)
    tune = read(f"|: {A} |[1,2,3 {B} :|[4 {C} |]\n" + words)
    assert [played(tune, n + 1) for n in range(count)] == ["AB"] * (count - 1) + ["AC"]
