"""The character of each stanza, as its words say or as the organist set it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from suspirium.errors import OrganError
from suspirium.plan.model import LeadingPlan
from suspirium.score.words import plain_text, sung
from suspirium.tables import load
from suspirium.verse.character import CHARACTERS, Character, mood_of
from suspirium.verse.languages import language_of


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
        else _read(texts[number], language)
        for number in numbers
    }


def _read(text: str, language: str) -> Read:
    mood = mood_of(text, language)
    return Read(mood.character, mood.told_by)
