from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.plan.breath import _best, choose_breaths
from suspirium.tables import load
from tests.build import hymn

MUSIC = "C D E F | G2 G2 | A G F E | D2 D2 | E F G A | B2 B2 | c B A G | C4 |]"
LINES = [(Fraction(n), Fraction(n + 6)) for n in (0, 8, 16)] + [(Fraction(24), Fraction(28))]
ENDS = [Fraction(8), Fraction(16), Fraction(24), Fraction(32)]


def _kinds(words: str, bpm: float = 100) -> list[str]:
    score = hymn(MUSIC, words=(words,))
    return [breath.kind for breath in choose_breaths(score, 1, LINES, ENDS, bpm)]


def test_the_stanzas_own_punctuation_speaks() -> None:
    words = "a b c d e so, f g h i j is; k l m n o not p q r s t."
    assert _kinds(words) == ["part", "full", "carry", "full"]


def test_a_stanza_without_any_mark_says_nothing() -> None:
    words = "a b c d e so f g h i j is k l m n o not p q r s t"
    assert _kinds(words) == ["full"] * 4


def test_a_carry_still_leaves_a_breath_people_can_sing() -> None:
    words = "a b c d e so f g h i j is k l m n o not p q r s t."
    kinds = _kinds(words, bpm=80)  # a line lasts 6 s
    assert "full" in kinds[:3] or "part" in kinds[:3]


def test_a_word_that_goes_on_has_no_mark() -> None:
    words = "a b c d e al- ways, g h i j is; k l m n o not p q r s t."
    assert _kinds(words)[0] == "carry"


def test_sense_is_said_in_the_reason() -> None:
    score = hymn(MUSIC, words=("a b c d e so, when h i j is k of m n o not p q r s t.",))
    breaths = choose_breaths(score, 1, LINES, ENDS, 100)
    assert breaths[0].kind == "full"
    assert "before a new clause" in breaths[0].reason
    assert breaths[1].kind == "carry"
    assert "the sense runs on" in breaths[1].reason


@given(
    st.lists(
        st.sampled_from(["bound", "none", "weak", "comma", "clause", "strong"]),
        min_size=1,
        max_size=6,
    ),
    st.floats(2.0, 12.0),
)
def test_the_choice_is_the_best_of_all(marks: list, line_s: float) -> None:
    """Against exhaustive search over every way to breathe."""
    table, longest_s = load("lift"), load("tempo").number("breath.longest_s")
    starts = [n * line_s for n in range(len(marks))]
    ends = [start + line_s for start in starts]
    names = {
        "full": "carry.cost_of_breath",
        "part": "carry.cost_of_part",
        "carry": "carry.cost_of_carry",
    }

    def cost(kinds: tuple) -> float:
        total, since = 0.0, 0
        for line, kind in enumerate(kinds):
            if line < len(kinds) - 1:
                total += table[names[kind]][marks[line]]
            if kind != "carry":
                if line > since:
                    over = ends[line] - starts[since] - longest_s
                    total += table["carry.over_long"] * max(0.0, over)
                since = line + 1
        return total

    best = min(
        cost((*kinds, "full"))
        for kinds in product(("full", "part", "carry"), repeat=len(marks) - 1)
    )
    assert cost(tuple(_best(marks, starts, ends))) == pytest.approx(best)
