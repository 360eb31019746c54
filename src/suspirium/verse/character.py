"""What words are like: still, quiet, plain, bright or great, told by bright and dark words."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Literal

from suspirium.tables import load
from suspirium.verse.words import words_of

Character = Literal["still", "quiet", "plain", "bright", "great"]

CHARACTERS: tuple[Character, ...] = ("still", "quiet", "plain", "bright", "great")


@dataclass(frozen=True, slots=True)
class Mood:
    """The character of some words, the words that told it, and how `light` they are: from -1
    (every telling word is dark) to 1, near 0 where few or none tell."""

    character: Character
    told_by: tuple[str, ...]
    light: float


def mood_of(text: str, language: str = "en") -> Mood:
    """The mood of some words: bright ones against dark ones (``tables/character.toml``)."""
    words = [word.sung for word in words_of(text)]
    bright = [word for word in words if word in _listed("bright", language)]
    dark = [word for word in words if word in _listed("dark", language)]
    more = len(bright) - len(dark)
    place = bisect_right(load("character")["thresholds"], float(more))
    told = bright if more > 0 else dark if more < 0 else []
    light = more / (len(bright) + len(dark) + load("character").number("light.half"))
    return Mood(CHARACTERS[place], tuple(_once(told)), light)


def _once(words: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(words))


@cache
def _listed(kind: str, language: str) -> frozenset[str]:
    rows = load("character").rows
    key = f"words.{kind}.{language}"
    return frozenset(str(rows[key].value).split()) if key in rows else frozenset()
