from __future__ import annotations

from suspirium.plan.build import plan_hymn
from suspirium.plan.overrides import read_overrides
from suspirium.plan.spare import spare_breath
from tests.build import hymn

MUSIC = "C D E F | G A B c | d c B A | G F E D | C4 |]"
ONE_LINE = read_overrides("phrase_ends_q = []\nquarter_bpm = 60\n")


def _spare(words: str):
    score = hymn(MUSIC, words=(words,))
    return spare_breath(score, plan_hymn(score, overrides=ONE_LINE).phrases[0])


def test_it_follows_a_mark_near_the_middle() -> None:
    spare = _spare("a b c d e f g, h i j k l m n o p q.")
    assert spare is not None
    assert (spare.onset_q, spare.measure, spare.word) == (6, 2, "g,")


def test_it_never_cuts_a_word() -> None:
    spare = _spare("a b c d e f g h- i- j- k- l m n o p q.")
    assert spare is not None
    assert spare.onset_q in (6, 11)


def test_it_is_said_where_a_line_is_too_long() -> None:
    plan = plan_hymn(
        hymn(MUSIC, words=("a b c d e f g, h i j k l m n o p q.",)), overrides=ONE_LINE
    )
    assert any("measure 2 after “g”" in remark.text for remark in plan.remarks)


def test_a_single_note_has_none() -> None:
    score = hymn("C4 |]")
    assert spare_breath(score, plan_hymn(score, overrides=ONE_LINE).phrases[0]) is None
