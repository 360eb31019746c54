"""The text sheet: all stanzas with their lifts and carries, for organist, choir or cantor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Any

from suspirium.plan.model import BreathKind, LeadingPlan
from suspirium.render.textlines import WIDTH
from suspirium.render.texts import credit_lines
from suspirium.render.typeset import set_document
from suspirium.render.typography import curly, curly_prose
from suspirium.render.words import tempo_words
from suspirium.score.words import plain_text, sung

_SIGNS: dict[BreathKind, str] = {"full": " |", "part": " (|)", "carry": " ~"}
_LEGEND = "|  all voices lift    (|)  the melody lifts    ~  carry on into the next line"
_MOST_IN_ONE_COLUMN = 34  # lines, with the white between stanzas


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of a stanza: its words, what happens at its end, and whether it is refrain."""

    text: str
    breath: BreathKind
    refrain: bool


@dataclass(frozen=True, slots=True)
class SheetStanza:
    """One stanza; a refrain is written out in the first stanza that sings it."""

    number: int
    lines: tuple[SheetLine, ...]
    refrain_follows: bool


def sheet_stanzas(
    plan: LeadingPlan, numbers: Sequence[int] | None = None
) -> tuple[SheetStanza, ...]:
    """The words of all stanzas (or of the given ones), a line of the poem a line, with the
    breaths of the plan."""
    found: list[SheetStanza] = []
    told: set[str] = set()
    for number in plan.stanza_numbers if numbers is None else numbers:
        lines = tuple(_lines(plan, number))
        own = tuple(line for line in lines if not line.refrain or line.text not in told)
        told |= {line.text for line in lines if line.refrain}
        if own:
            found.append(SheetStanza(number, own, len(own) < len(lines)))
    return tuple(found)


def _lines(plan: LeadingPlan, number: int) -> Iterator[SheetLine]:
    syllables = sung(plan.hymn, number)
    for phrase in plan.phrases:
        inside = tuple(
            s for s in syllables if phrase.first_onset_q <= s.onset_q <= phrase.last_onset_q
        )
        if inside:
            refrain = any(inside[0].onset_q in span for span in plan.hymn.refrains)
            yield SheetLine(curly(plain_text(inside)), phrase.breath(number), refrain)


def words_text(plan: LeadingPlan) -> str:
    """The sheet as plain text; empty for a hymn without words."""
    stanzas = sheet_stanzas(plan)
    if not stanzas:
        return ""
    title = plan.hymn.title + (f" ({plan.hymn.tune})" if plan.hymn.tune else "")
    rows = [*wrap(title, WIDTH), _LEGEND]
    for stanza in stanzas:
        rows.append("")
        for index, line in enumerate(stanza.lines):
            head = f"{stanza.number}" if index == 0 else ""
            space = "      " if line.refrain else "   "
            last = index == len(stanza.lines) - 1 and not stanza.refrain_follows
            rows.append(f"{head:<3}{space[3:]}{line.text}{'' if last else _SIGNS[line.breath]}")
        if stanza.refrain_follows:
            rows.append("      Refrain")
    return (
        "\n".join([*rows, "", *(row for c in credit_lines(plan) for row in wrap(c, WIDTH))]) + "\n"
    )


def words_pdf(plan: LeadingPlan) -> bytes | None:
    """The sheet on paper, one page where it fits; None for a hymn without words."""
    values = sheet_values(plan)
    if not values["stanzas"]:
        return None
    return set_document("words.typ", {"title": values["title"], "hymns": [values]})[0]


def sheet_values(
    plan: LeadingPlan, numbers: Sequence[int] | None = None, notes: Sequence[str] = ()
) -> dict[str, Any]:
    """One hymn for ``words.typ``: all stanzas or those of the given numbers, with notes on top."""
    stanzas = sheet_stanzas(plan, numbers)
    rows = sum(len(stanza.lines) + 1 + stanza.refrain_follows for stanza in stanzas)
    return {
        "title": curly_prose(plan.hymn.title or "Hymn"),
        "tune": curly_prose(plan.hymn.tune),
        "tempo": tempo_words(plan) + ".",
        "notes": [curly_prose(note) for note in notes],
        "columns": 1 if rows <= _MOST_IN_ONE_COLUMN else 2,
        "stanzas": [
            {
                "number": str(stanza.number),
                "lines": [
                    {"text": line.text, "breath": line.breath, "refrain": line.refrain}
                    for line in stanza.lines
                ],
                "refrain_follows": stanza.refrain_follows,
            }
            for stanza in stanzas
        ],
        "credits": credit_lines(plan),
    }
