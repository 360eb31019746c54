"""How strongly a line's end parts it from the next: the stanza's own marks and its sense.

A comma before a new clause parts more than another, one inside a list or beside a short
address less; without a mark a line that leans on the next runs on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Literal

from suspirium.tables import load
from suspirium.verse.words import words_of

Mark = Literal["none", "comma", "strong"]
Grade = Literal["bound", "none", "weak", "comma", "clause", "strong"]

_CLOSERS = "\"'”’»“‘)]*"
_STRONG = ".!?;:…"
_WEAK = ",—–‑-"
_CUT = re.compile(r"[,;:.!?…—–]+")


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


def sense_of(line: str, following: str, language: str) -> LineSense:
    """The grade of the end of a line, when the text goes on with the line `following` (empty
    after the last line)."""
    mark = mark_of(line)
    words, after = _words(line), _words(following)
    if mark == "strong":
        return LineSense("strong", "a stop")
    if mark == "comma":
        return _comma(_pieces(line), _pieces(following), language)
    if after and after[0] in _listed("leans", language):
        return _RUNS_ON
    if words and words[-1] in _bound(language):
        return _RUNS_ON
    return LineSense("none", "no mark")


Pieces = list[list[str]]


def _comma(line: Pieces, following: Pieces, language: str) -> LineSense:
    """The grade of a comma between two lines, each cut at its marks."""
    first = following[0] if following else []
    opening = first[1:] if first and first[0] in _listed("joins", language) else first
    if opening and opening[0] in _listed("clause", language):
        return LineSense("clause", "a comma before a new clause")
    if len(line) > 1 and _addresses(line[-1], language) and not _addresses(line[-2], language):
        return LineSense("weak", "a comma after an address")
    if _lists(line, first, language):
        return LineSense("weak", "a comma within a list")
    return LineSense("comma", "a comma")


def _addresses(piece: list[str], language: str) -> bool:
    """Whether a piece of text between marks only calls someone by name."""
    return all(word in _listed("address", language) for word in piece)


def _lists(line: Pieces, following: list[str], language: str) -> bool:
    """Whether short items, the last two of the line among them, are followed by another; the
    same words sung again are no list."""
    most = _most("item.longest")
    joined = bool(following) and following[0] in _listed("joins", language)
    item = following[1:] if joined else following
    new = item not in line
    return len(line) > 1 and new and all(0 < len(piece) <= most for piece in (*line[-2:], item))


def _pieces(line: str) -> Pieces:
    """The words of a line in small letters, cut where it has marks."""
    return [words for piece in _CUT.split(line) if (words := _words(piece))]


def _words(text: str) -> list[str]:
    return [word.sung for word in words_of(text)]


def stops_inside(line: str) -> tuple[str, ...]:
    """The words within a line after which a sentence ends: a breath may be wanted there."""
    return tuple(
        _shown(word) for word in line.split()[:-1] if word.rstrip(_CLOSERS)[-1:] in (".", "?")
    )


def _shown(text: str) -> str:
    return text.strip(_CLOSERS + _STRONG + _WEAK + " ")


def _most(row: str) -> int:
    return int(load("sense").number(row))


@cache
def _listed(kind: str, language: str) -> frozenset[str]:
    return frozenset(str(load("sense")[f"{kind}.{language}"]).split())


@cache
def _bound(language: str) -> frozenset[str]:
    rows = load("function_words").rows
    key = f"bound.{language}"
    return frozenset(str(rows[key].value).split()) if key in rows else frozenset()
