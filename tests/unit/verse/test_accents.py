"""Words sung against their stress."""

from __future__ import annotations

from fractions import Fraction

import pytest

from suspirium.score.model import Syllable
from suspirium.verse.accents import stressed_against, wrong_stresses
from suspirium.verse.poem import words_sung

BAR = (3, 0, 1, 0)  # strengths of the four beats of a bar


def strength(onset_q: Fraction) -> int:
    return BAR[int(onset_q) % 4]


def line(text: str, at: int = 0, lengths: tuple[int, ...] = ()) -> tuple[Syllable, ...]:
    """Syllables of "words cut like-this", a quarter each unless lengths say otherwise."""
    cut = [word.split("-") for word in text.split()]
    parts = [(part, part is not word[-1]) for word in cut for part in word]
    long = lengths or (1,) * len(parts)
    onsets = [at + sum(long[:index]) for index in range(len(parts))]
    return tuple(
        Syllable(Fraction(onset), Fraction(onset + length), text, joins)
        for (text, joins), onset, length in zip(parts, onsets, long, strict=True)
    )


@pytest.mark.parametrize(
    ("text", "at", "wrong"),
    [
        ("the mor-ning light", 3, []),
        ("see mor-ning light", 2, ["morning"]),
        ("mor-ning light", 3, []),  # a line may begin with a turned foot
        ("the sal-va-tion of", 0, []),
        ("the sal-va-tion of", 3, ["salvation"]),
    ],
)
def test_a_word_is_told_when_its_neighbour_syllable_is_much_stronger(
    text: str, at: int, wrong: list[str]
) -> None:
    words = tuple(words_sung(line(text, at)))
    assert [found.word for found in wrong_stresses([(words,)], strength)] == wrong


def test_a_longer_note_makes_up_for_a_weaker_beat() -> None:
    words = tuple(words_sung(line("see mor-ning light", 0, (1, 3, 1, 1))))
    assert wrong_stresses([(words,)], strength) == ()
    short = tuple(words_sung(line("see mor-ning light", 2)))
    assert wrong_stresses([(short,)], strength)[0].heavy.text == "ning"


def test_a_language_of_unknown_stress_says_nothing() -> None:
    words = tuple(words_sung(line("see mor-ning light", 2)))
    assert wrong_stresses([(words,)], strength, "fr") == ()
    assert stressed_against("morning", [0, 3], "fr") is None
    assert stressed_against("morning", [0, 3]) == (0, 1)
