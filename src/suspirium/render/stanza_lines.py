"""Every stanza written out line by line, refrains too, with what happens at each line's end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from suspirium.plan.model import BreathKind, LeadingPlan, Phrase
from suspirium.render.typography import curly
from suspirium.score.words import plain_text, sung


@dataclass(frozen=True, slots=True)
class StanzaLine:
    """One line as it is sung; `text` is empty where there are no words."""

    phrase: Phrase
    text: str
    breath: BreathKind
    last: bool


def stanza_lines(plan: LeadingPlan, stanza: int) -> tuple[StanzaLine, ...]:
    """The lines of a stanza in order; of a hymn without words, its phrases."""
    found = [line for line in _lines(plan, stanza) if line.text]
    lines = found or list(_lines(plan, stanza))
    return tuple(
        StanzaLine(line.phrase, line.text, line.breath, index == len(lines) - 1)
        for index, line in enumerate(lines)
    )


def _lines(plan: LeadingPlan, stanza: int) -> Iterator[StanzaLine]:
    syllables = sung(plan.hymn, stanza) if plan.hymn.stanzas else ()
    for phrase in plan.phrases:
        inside = tuple(
            s for s in syllables if phrase.first_onset_q <= s.onset_q <= phrase.last_onset_q
        )
        text = curly(plain_text(inside)) if inside else ""
        yield StanzaLine(phrase, text, phrase.breath(stanza), False)
