"""Tokens of a line of ABC music (ABC standard 2.1, section 4)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from suspirium.errors import ScoreError
from suspirium.score.spoken import printable

Token = tuple[str, re.Match[str]]

LENGTH = r"(?:\d*/*\d*)"
_NOTE = rf"(?:(?P<acc>\^\^|__|[\^_=])/?)?(?P<letter>[A-Ga-g])(?P<octave>[,']*)(?P<length>{LENGTH})"

_MUSIC = re.compile(
    "|".join(
        (
            r"(?P<space>[ \t\f\v]+)",
            rf"(?P<note>{_NOTE})",
            rf"(?P<rest>(?P<kind>[zxZX])(?P<rest_length>{LENGTH}))",
            r"(?P<tie>\.?-)",
            r"(?P<tuplet>\((?P<p>\d)(?::(?P<q>\d*))?(?::(?P<r>\d*))?)",
            r"(?P<open>\.?\('?)",
            r"(?P<close>\))",
            r"(?P<field>\[(?P<name>[A-Za-z]):(?P<value>[^\]]*)\])",
            r"(?P<ending>\[(?P<passes>\d[\d,\-]*))",
            r"(?P<bar>(?:\.?\|+\]?:*|:+\|+(?:\]|:+)?|:{2,}|\[\|+(?:\]|:+)?)"
            r"(?P<bar_passes>\d[\d,\-]*)?)",
            rf"(?P<chord>\[(?P<inner>[^\]|\[]*)\](?P<chord_length>{LENGTH}))",
            r"(?P<broken>>+|<+)",
            r"(?P<grace>\{/?(?P<graces>[^}]*)\})",
            r"(?P<decoration>!(?P<sign>[^!\s|]+)!|\+(?P<old_sign>\w+)\+)",
            r'(?P<quoted>"(?P<text>[^"]*)")',
            r"(?P<spacer>y\d*/*\d*|[`$*!\\])",
            r"(?P<overlay>&+)",
            r"(?P<short>[.~h-wH-W])",
            r"(?P<other>.)",
        )
    )
)
_INNER = re.compile(
    rf"(?P<note>{_NOTE})|(?P<tie>\.?-)|!(?P<sign>[^!\s]+)!|(?P<short>[.~h-wH-W])|(?P<other>.)"
)


def music_tokens(text: str) -> Iterator[Token]:
    """Kind and match of every token of a music line; what is no music has kind "other"."""
    for found in _MUSIC.finditer(text):
        yield str(found.lastgroup), found


def inner_tokens(text: str) -> Iterator[Token]:
    """Tokens inside a chord or a group of grace notes."""
    for found in _INNER.finditer(text):
        yield str(found.lastgroup), found


@lru_cache(maxsize=256)
def length_factor(text: str) -> Fraction:
    """What a note length says: "" is 1, "2" 2, "/" 1/2, "//" 1/4, "3/2" 3/2.

    Raises `ScoreError` for a length of nothing, or one no hymn has.
    """
    upper, slashes, lower = text.partition("/")
    extra = len(lower) - len(lower.lstrip("/"))
    below = lower.lstrip("/")
    if len(text) > 8 or (below and int(below) == 0) or (upper and int(upper) == 0):
        raise ScoreError(f'"{printable(text, 20)}" is no length of a note.')
    divisor = int(below) if below else 2 if slashes else 1
    return Fraction(int(upper or 1), divisor * 2**extra)
