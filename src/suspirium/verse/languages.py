"""Telling the language of a text from its short words and its letters."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import cache

from suspirium.tables import load
from suspirium.verse.words import words_of

LANGUAGES = ("en", "de", "fr", "la", "es", "cy")
NAMES = {
    "en": "English",
    "de": "German",
    "fr": "French",
    "la": "Latin",
    "es": "Spanish",
    "cy": "Welsh",
}


def language_of(lines: Iterable[str], default: str = "en") -> str:
    """The likeliest language ("en", "de", "fr", "la", "es", "cy") of some lines of text.

    `default` where nothing tells, and where two languages tell equally much.
    """
    table = load("languages")
    found: Counter[str] = Counter()
    weight = table.number("weight.letter")
    letters = {language: set(signs) for language, signs in table["letters"].items()}
    for line in lines:
        found.update(word.sung for word in words_of(line))
    shares: dict[str, float] = {}
    for language in LANGUAGES:
        known = _words(language)
        hits = sum(count for word, count in found.items() if word in known)
        own = letters.get(language, set())
        signs = sum(count for word, count in found.items() if own & set(word))
        shares[language] = hits + weight * signs
    best = max(shares.values(), default=0.0)
    return default if shares[default] == best else max(LANGUAGES, key=lambda name: shares[name])


@cache
def _words(language: str) -> frozenset[str]:
    return frozenset(str(load("languages")[f"words.{language}"]).split())
