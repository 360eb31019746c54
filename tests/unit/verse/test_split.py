"""Where words part when a note needs each of their syllables."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.verse.split import split


@pytest.mark.parametrize(
    "parted",
    ["wel-come", "with-in", "ta-ble", "cre-a-tion", "al-le-lu-ia", "shep-herd", "some-times"],
)
def test_english_words_part_by_the_dictionary_and_by_sound(parted: str) -> None:
    """Common practice of English hymnals."""
    parts = tuple(parted.split("-"))
    first, *inner, last = parts
    assert split("".join(parts), len(parts)) == parts
    marked = f"“{''.join(parts)}!”"
    assert split(marked, len(parts)) == (f"“{first}", *inner, f"{last}!”")


@pytest.mark.parametrize(
    ("language", "parted"),
    [("de", "Him-mel"), ("de", "a-ber"), ("la", "glo-ri-a"), ("es", "san-to")],
)
def test_other_languages_part_by_their_own_vowels(language: str, parted: str) -> None:
    parts = tuple(parted.split("-"))
    assert split("".join(parts), len(parts), language) == parts


@given(st.text(max_size=14), st.integers(0, 6), st.sampled_from(["en", "de", "la", "cy"]))
def test_nothing_of_a_word_is_lost(word: str, count: int, language: str) -> None:
    assert "".join(split(word, count, language)) == word
