"""Typists' quotes and apostrophes as printers set them."""

from __future__ import annotations

import re
from dataclasses import replace

from suspirium.score.model import Hymn

_OPENS = re.compile(r'(^|[\s(\[–—-])"')
_QUOTED = re.compile(r"(?<![^\s(])'(\S(?:[^']*\S)?)'(?!\w)")
_TURNED = str.maketrans({"'": "’", '"': "”", "`": "’"})


def curly(text: str) -> str:
    """Straight quotes turned: double ones by what stands before, single ones as apostrophes.

    In verse a single quote nearly always stands for letters left out, at a word's
    beginning too (’tis, ’neath).
    """
    return _OPENS.sub(r"\1“", text).translate(_TURNED)


def curly_prose(text: str) -> str:
    """The same for titles and credits, where single quotes may enclose a name."""
    return curly(_QUOTED.sub(r"‘\1’", text))


def curly_hymn(hymn: Hymn) -> Hymn:
    """The hymn with the quotes of its words turned."""
    stanzas = tuple(
        replace(
            stanza,
            syllables=tuple(replace(s, text=curly(s.text)) for s in stanza.syllables),
        )
        for stanza in hymn.stanzas
    )
    plain = tuple(tuple(curly(line) for line in text) for text in hymn.plain_stanzas)
    notes = tuple(replace(a, text=curly(a.text)) for a in hymn.annotations)
    return replace(hymn, stanzas=stanzas, plain_stanzas=plain, annotations=notes)
