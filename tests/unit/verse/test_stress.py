"""Word stress, and the list behind it."""

from __future__ import annotations

import pytest

from suspirium.verse.stress import known_stress, main_stress, stems, stresses


@pytest.mark.parametrize(
    ("word", "count", "place"),
    [
        ("morning", 2, 0),
        ("glory", 2, 0),
        ("behold", 2, 1),
        ("salvation", 3, 1),
        ("salvation's", 3, 1),
        ("eternity", 4, 1),
        ("sustaineth", 3, 1),
        ("th'eternal", 3, 1),
        ("conqu'ring", 2, 0),
        ("redeemèd", 3, 1),
        ("undefiled", 3, 2),
        ("ever-blest", 3, 0),
        ("alleluia", 4, 2),
    ],
)
def test_english_words_are_stressed_where_they_are_spoken(
    word: str, count: int, place: int
) -> None:
    assert main_stress(word, count) == place


@pytest.mark.parametrize("word", ["present", "increase"])
def test_words_of_two_stresses_say_nothing(word: str) -> None:
    assert main_stress(word, 2) is None
    assert stresses(word, 2) == (0, 0)


@pytest.mark.parametrize(
    ("word", "count", "place", "language"),
    [
        ("geboren", 3, 1, "de"),
        ("vater", 2, 0, "de"),
        ("gloria", 3, 0, "la"),
        ("domine", 3, 0, "la"),
        ("benedictus", 4, 2, "la"),
        ("deus", 2, 0, "la"),
    ],
)
def test_german_and_latin_have_rules(word: str, count: int, place: int, language: str) -> None:
    assert main_stress(word, count, language) == place


def test_other_languages_say_nothing() -> None:
    assert not known_stress("fr")
    assert main_stress("seigneur", 2, "fr") is None
    assert stresses("seigneur", 2, "fr") == (0, 0)


def test_a_sung_syllable_fewer_keeps_the_stress_within_the_word() -> None:
    assert main_stress("heaven", 1) == 0
    assert len(stresses("heaven", 1)) == 1


def test_small_words_are_weaker_than_words_that_carry_meaning() -> None:
    assert stresses("the", 1) < stresses("light", 1)


def test_stems_are_found_behind_endings() -> None:
    assert "sustain" in stems("sustaineth")
    assert "rejoice" in stems("rejoicing")
    assert "glory" in stems("glories")
