"""Lines of text as words: what is printed of each, and what is sung of it."""

from __future__ import annotations

import re
from dataclasses import dataclass

APOSTROPHES = "'’‘ʼ`´"
OPENING = "\"'“‘«‹„‚([¿¡*"
CLOSING = "\"'”’»›“‘)]*"
_TOKEN = re.compile(r"\S+")
_DASH = re.compile(r"(?<=\w)(—|–|--)(?=\w)")
_JOINT = re.compile(r"(?<=[^\W\d_])[-‐‑](?=[^\W\d_])")
_TO_PLAIN = str.maketrans(dict.fromkeys(APOSTROPHES, "'"))


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a line: as `printed`, with its marks, and as `sung`, in small letters.

    `sung` keeps apostrophes (as ') and the hyphens of a compound.
    """

    printed: str
    sung: str


def words_of(line: str) -> tuple[Word, ...]:
    """The words of one line; signs that stand alone join the word before them."""
    found: list[Word] = []
    for token in _TOKEN.findall(_DASH.sub(r"\1 ", line)):
        sung = sung_letters(token)
        if sung:
            found.append(Word(token, sung))
        elif found:
            found[-1] = Word(f"{found[-1].printed} {token}", found[-1].sung)
    return tuple(found)


def sung_letters(token: str) -> str:
    """The letters, apostrophes and joining hyphens of a printed word, in small letters."""
    plain = token.translate(_TO_PLAIN).lower()
    kept = "".join(c for c in plain if c.isalpha() or c in "'-‐‑&")
    kept = kept.strip("-‐‑").replace("&", "and")
    return kept if any(c.isalpha() for c in kept) else ""


def compound(sung: str) -> tuple[str, ...]:
    """The parts of a word joined by hyphens ("ever-blest"): usually the word itself."""
    return tuple(_JOINT.split(sung))
