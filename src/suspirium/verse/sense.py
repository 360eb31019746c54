"""How strongly a line's end parts it from the next: the stanza's own marks and its sense.

A comma before a new clause parts more than one inside a list or before an address; without a
mark a line that leans on the next runs on.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from suspirium.tables import load
from suspirium.verse.words import words_of

Mark = Literal["none", "comma", "strong"]
Grade = Literal["bound", "none", "comma", "clause", "strong"]

_CLOSERS = "\"'”’»“‘)]*"
_STRONG = ".!?;:…"
_WEAK = ",—–‑-"


@dataclass(frozen=True, slots=True)
class LineSense:
    """The grade of a line's end, from "bound" (the sentence runs on) to "strong" (a stop),
    and what it was told by, in words that finish "There is ..."."""

    grade: Grade
    said: str


_RUNS_ON = LineSense("bound", "no mark and the sense runs on")


def mark_of(text: str) -> Mark:
    """The punctuation that closes a word: "strong" for a stop, "comma", or "none"."""
    end = text.rstrip(_CLOSERS + " ")[-1:]
    if end and end in _STRONG:
        return "strong"
    return "comma" if end and end in _WEAK else "none"


def sense_of(last: str, following: str, language: str) -> LineSense:
    """The grade of the end of a line that closes with the word `last`, when the next line
    begins with `following` (empty after the last line)."""
    mark = mark_of(last)
    first = _word(following)
    if mark == "strong":
        return LineSense("strong", "a stop")
    if mark == "comma":
        if first in _listed("clause", language):
            return LineSense("clause", "a comma before a new clause")
        return LineSense("comma", "a comma")
    if first in _listed("leans", language):
        return _RUNS_ON
    if _word(last) in _bound(language):
        return _RUNS_ON
    return LineSense("none", "no mark")


def stops_inside(line: str) -> tuple[str, ...]:
    """The words within a line after which a sentence ends: a breath may be wanted there."""
    return tuple(
        _shown(word) for word in line.split()[:-1] if word.rstrip(_CLOSERS)[-1:] in (".", "?")
    )


def _word(text: str) -> str:
    words = words_of(text)
    return words[0].sung if words else ""


def _shown(text: str) -> str:
    return text.strip(_CLOSERS + _STRONG + _WEAK + " ")


@cache
def _listed(kind: str, language: str) -> frozenset[str]:
    return frozenset(str(load("sense")[f"{kind}.{language}"]).split())


@cache
def _bound(language: str) -> frozenset[str]:
    rows = load("function_words").rows
    key = f"bound.{language}"
    return frozenset(str(rows[key].value).split()) if key in rows else frozenset()
