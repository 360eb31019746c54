"""What a stanza's words are like: still, quiet, plain, bright or great."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import cast

from suspirium.errors import OrganError
from suspirium.plan.model import LeadingPlan
from suspirium.score.words import plain_text, sung
from suspirium.service.registration.model import Character
from suspirium.tables import load
from suspirium.verse.languages import language_of
from suspirium.verse.words import words_of

CHARACTERS: tuple[Character, ...] = ("still", "quiet", "plain", "bright", "great")


@dataclass(frozen=True, slots=True)
class Read:
    """A stanza's character and the words that told it; none where the organist set it."""

    character: Character
    told_by: tuple[str, ...] = ()
    set_by_organist: bool = False

    @property
    def step(self) -> float:
        """What it adds to the step."""
        return float(load("registration")["character"][self.character])


def characters(plan: LeadingPlan, chosen: Mapping[int, str]) -> dict[int, Read]:
    """The character of every stanza, the organist's own kept.

    Raises `OrganError` for a stanza that the hymn has not or a character that is none.
    """
    numbers = plan.stanza_numbers
    for number, name in chosen.items():
        if number not in numbers:
            raise OrganError(f"the hymn has no stanza {number} whose character could be set")
        if name not in CHARACTERS:
            raise OrganError(f"a stanza is {', '.join(CHARACTERS)}, not {name!r}")
    texts = {number: plain_text(sung(plan.hymn, number)) for number in numbers}
    language = language_of(texts.values())
    return {
        number: Read(cast(Character, chosen[number]), set_by_organist=True)
        if number in chosen
        else read_character(texts[number], language)
        for number in numbers
    }


def read_character(text: str, language: str = "en") -> Read:
    """The character of one stanza's words: bright ones against dark ones."""
    bright = [w.sung for w in words_of(text) if w.sung in _listed("bright", language)]
    dark = [w.sung for w in words_of(text) if w.sung in _listed("dark", language)]
    more = len(bright) - len(dark)
    place = bisect_right(load("registration")["thresholds"], float(more))
    told = bright if more > 0 else dark if more < 0 else []
    return Read(CHARACTERS[place], tuple(_once(told)))


def _once(words: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(words))


@cache
def _listed(kind: str, language: str) -> frozenset[str]:
    rows = load("registration").rows
    key = f"words.{kind}.{language}"
    return frozenset(str(rows[key].value).split()) if key in rows else frozenset()
