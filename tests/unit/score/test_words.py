"""Words as they are sung: refrains, stanzas in turn, passes of a repeat."""

from __future__ import annotations

from suspirium.score.abc import read_abc
from suspirium.score.model import Hymn
from suspirium.score.order import passages
from suspirium.score.turns import repeated_words, sung_in_turn
from suspirium.score.words import plain_text, stretches, sung

HEADER = "X:1\nT:Test\nM:4/4\nL:1/4\nK:C\n"


def read(body: str) -> Hymn:
    return read_abc(HEADER + body)


def text(tune: Hymn, number: int, turn: int | None = None) -> str:
    return plain_text(sung(tune, number) if turn is None else sung_in_turn(tune, number, turn))


REFRAIN = read("c d e f |\nw: 1.~a b c d\nw: 2.~e f g h\nw: 3.~i j k l\n"
               "g a b c' |]\nw: praise ye the Lord\n")  # fmt: skip
IN_TURN = read("c d e f ||\nw: 1.~a b c d\nw: 3.~e f g h\n"
               "g a b c' |]\nw: 2.~i j k l\nw: 4.~m n o p\n")  # fmt: skip
PASSES = read("|: c d e f :|\nw: a b c d\nw: e f g h\ng a b c' |]\nw: i j k l\n")
ROUND_STANZAS = read("c d e f |\nw: praise ye the Lord\n|: g a b c' :|\nw: 1.~a b c d\n"
                     "w: 2.~e f g h\nw: 3.~i j k l\nc4 |]\nw: praise\n")  # fmt: skip


def test_a_refrain_is_sung_in_every_stanza():
    assert [text(REFRAIN, n) for n in (1, 2, 3)] == [
        "a b c d praise ye the Lord",
        "e f g h praise ye the Lord",
        "i j k l praise ye the Lord",
    ]


def test_a_refrain_may_come_first():
    tune = read("c d e f |\nw: praise ye the Lord\ng a b c' |]\nw: 1.~a b c d\nw: 2.~e f g h\n")
    assert text(tune, 2) == "praise ye the Lord e f g h"


def test_a_stanza_keeps_its_own_words_in_a_refrain():
    verses = "".join(f"w: {n}.~a b c d\n" for n in range(1, 6))
    refrains = "w: praise ye the Lord\nw:\nw:\nw:\nw: bless ye his name\n"
    tune = read(f"c d e f |\n{verses}g a b c' |]\n{refrains}")
    assert [(r.start_q, r.end_q) for r in tune.refrains] == [(4, 8)]
    assert text(tune, 3) == "a b c d praise ye the Lord"
    assert text(tune, 5) == "a b c d bless ye his name"


def test_two_missing_syllables_are_no_refrain():
    tune = read("c d e f |]\nw: 1.~a b c d\nw: 2.~e f\n")
    assert tune.refrains == ()


def test_two_words_of_one_stanza_beside_a_refrain_do_not_join_it():
    tune = read("c d e f |\nw: 1.~a b c *\nw: 2.~e f g Oh!\nw: 3.~i j k *\n"
                "g a b c' |]\nw: praise ye the Lord\n")  # fmt: skip
    assert [(r.start_q, r.end_q) for r in tune.refrains] == [(4, 8)]


def test_stanzas_sung_in_turn_have_their_own_stretch():
    spans = {n: [(s.start_q, s.end_q) for s in stretches(IN_TURN, n)] for n in (1, 2, 3, 4)}
    assert spans == {1: [(0, 4)], 3: [(0, 4)], 2: [(4, 8)], 4: [(4, 8)]}
    assert IN_TURN.refrains == ()


def test_a_stanza_is_played_where_it_is_sung():
    assert [(p.start_q, p.end_q) for p in passages(IN_TURN, 2)] == [(4, 8)]
    assert [(p.start_q, p.end_q) for p in passages(IN_TURN)] == [(0, 8)]
    assert [(p.start_q, p.end_q) for p in passages(REFRAIN, 2)] == [(0, 8)]


def test_two_lines_in_a_repeated_section_are_its_passes():
    section = repeated_words(PASSES)
    assert section is not None
    assert (section.start_q, section.end_q) == (0, 4)
    assert text(PASSES, 1, 1) == "a b c d i j k l"
    assert text(PASSES, 1, 2) == "e f g h i j k l"


def test_two_stanzas_of_a_whole_repeated_hymn_are_no_passes():
    tune = read("|: c d e f | g a b c' :|\nw: 1.~a b c d e f g h\nw: 2.~i j k l m n o p\n")
    assert repeated_words(tune) is None


def test_without_a_repeat_each_turn_sings_the_stanza():
    assert repeated_words(REFRAIN) is None
    assert text(REFRAIN, 2, 1) == text(REFRAIN, 2)


def test_a_repeat_that_leads_to_the_next_stanza_is_not_played_within_one():
    assert [(p.start_q, p.end_q) for p in passages(ROUND_STANZAS, 2)] == [(0, 12)]
    assert [(p.start_q, p.end_q, p.turn) for p in passages(PASSES)] == [
        (0, 4, 1), (0, 4, 2), (4, 8, 1)]  # fmt: skip


def test_a_stanza_that_is_not_there_sings_nothing():
    assert sung(REFRAIN, 9) == ()
    assert len(stretches(REFRAIN, 9)) == 1
