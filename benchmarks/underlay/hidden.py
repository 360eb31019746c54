"""Stanzas under the notes of a hymn taken out, as the plain text they would be printed as."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from suspirium.score.model import Hymn, Stanza
from suspirium.score.words import plain_text, stretches

Lines = Sequence[tuple[Fraction, Fraction]]

_SPELT_OUT = (
    (re.compile(r"(?i)\b(h|ris|giv|driv|fall|ev|sev)(ea|e|)['’]n\b"), None),
    (re.compile(r"(?i)heav['’]n"), "heaven"),
    (re.compile(r"(?i)\bo['’]er"), "over"),
    (re.compile(r"(?i)\be['’]er"), "ever"),
    (re.compile(r"(?i)\bne['’]er"), "never"),
    (re.compile(r"(?i)([a-z])['’]d\b"), r"\1ed"),
    (re.compile(r"(?i)([a-z])['’](n|r)(?=[a-z]*\b)"), r"\1e\2"),
    (re.compile(r"(?i)th['’](?=[aeiou])"), "the "),
    (re.compile(r"è"), "e"),
)


@dataclass(frozen=True, slots=True)
class Hidden:
    """A hymn with its first stanza alone, and a later one: its text and where it is sung."""

    hymn: Hymn
    lines: Lines
    text: tuple[str, ...]
    onsets_q: tuple[Fraction, ...]


def hidden_stanzas(hymn: Hymn, lines: Lines, *, refrains_known: bool = True) -> Iterator[Hidden]:
    """Every stanza after the first that is sung to the same stretch of the score.

    Pages say which words are the refrain; `refrains_known` False hides that as well.
    """
    if not hymn.stanzas:
        return
    first = hymn.stanzas[0]
    alone = replace(
        hymn,
        stanzas=(first,),
        refrains=hymn.refrains if refrains_known else (),
        plain_stanzas=(),
    )
    for stanza in hymn.stanzas[1:]:
        if stretches(hymn, stanza.number) != stretches(hymn, first.number):
            continue
        text = tuple(line for line in (_line(stanza, *span) for span in lines) if line)
        yield Hidden(alone, lines, text, tuple(s.onset_q for s in stanza.syllables))


def _line(stanza: Stanza, first_q: Fraction, last_q: Fraction) -> str:
    inside = tuple(s for s in stanza.syllables if first_q <= s.onset_q <= last_q)
    return plain_text(inside)


def spelt_out(text: Sequence[str]) -> tuple[str, ...]:
    """The text as it would be typed by someone who spells elisions out: the hard case."""
    return tuple(_spelt_out(line) for line in text)


def _spelt_out(line: str) -> str:
    for pattern, to in _SPELT_OUT:
        if to is not None:
            line = pattern.sub(to, line)
    return line
