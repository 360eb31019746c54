"""What stands on the page beside the music, as items to set."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from suspirium.plan.model import LeadingPlan
from suspirium.render.engrave.gapfigure import gap_figure
from suspirium.render.engrave.ink import ACCENT
from suspirium.render.engrave.notehead import note_svg
from suspirium.render.reasons import Reason, page_reasons
from suspirium.render.typography import curly, curly_prose
from suspirium.render.words import key_name, pulse_words, tempo_words
from suspirium.score.words import plain_text, sung

GAP_WIDTH_MM = 79.0
_LINES_TOGETHER = 24  # of one stanza; longer ones may break between columns


def heading(plan: LeadingPlan) -> dict[str, Any]:
    """Title, tune, metre and key; pulse and tempo in words."""
    hymn, pulse = plan.hymn, plan.pulse.value
    return {
        "kind": "heading",
        "title": curly_prose(hymn.title or "Hymn"),
        "tune": "" if _alike(hymn.tune, hymn.title) else curly_prose(hymn.tune),
        "key": ", ".join(part for part in (hymn.metre, key_name(plan)) if part),
        "tempo_words": tempo_words(plan) + ".",
        "pulse_words": pulse_words(plan) + ":",
        "pulse_glyph": note_svg(pulse.unit_q, ACCENT),
        "pulse_bpm": str(round(plan.tempo.value.quarter_bpm / float(pulse.unit_q))),
    }


def _alike(tune: str, title: str) -> bool:
    """Whether the tune is named after the hymn's first line: said once is enough."""
    one, other = (
        "".join(sign for sign in text.casefold() if sign.isalnum()) for text in (tune, title)
    )
    return one == other


def gap(plan: LeadingPlan) -> dict[str, Any]:
    """The stanza gap as counts with its reason."""
    svg, width_mm = gap_figure(plan, GAP_WIDTH_MM)
    return {"kind": "gap", "svg": svg, "figure_width": width_mm, "reason": plan.gap.reason}


def reasons(plan: LeadingPlan, further: Sequence[Reason] = ()) -> list[dict[str, Any]]:
    """Every reason with its head, `further` ones last."""
    found = [*page_reasons(plan), *further]
    return [{"kind": "reason", "head": head, "text": text} for head, text in found]


def stanzas(plan: LeadingPlan, underlaid: tuple[int, ...]) -> list[dict[str, Any]]:
    """Stanzas that are not under the notes, as text; very long ones in parts."""
    done = []
    for number, lines in _stanza_lines(plan, underlaid):
        for start in range(0, len(lines), _LINES_TOGETHER):
            part = lines[start : start + _LINES_TOGETHER]
            head = "" if start else str(number)
            done.append({"kind": "stanza", "number": head, "lines": part})
    return done


def _stanza_lines(plan: LeadingPlan, underlaid: tuple[int, ...]) -> Iterator[tuple[int, list[str]]]:
    for stanza in plan.hymn.stanzas:
        if stanza.number in underlaid:
            continue
        syllables = sung(plan.hymn, stanza.number)
        lines = [
            plain_text(
                tuple(s for s in syllables if p.first_onset_q <= s.onset_q <= p.last_onset_q)
            )
            for p in plan.phrases
        ]
        yield stanza.number, [curly(line) for line in lines if line]
    first = max((stanza.number for stanza in plan.hymn.stanzas), default=0) + 1
    for number, text in enumerate(plan.hymn.plain_stanzas, first):
        yield number, [curly(line) for line in text]


def credit_lines(plan: LeadingPlan) -> list[str]:
    """Who made words and music, each with the part played where it is not said anyway."""
    done = []
    for credit in plan.hymn.credits:
        told = credit.role and credit.role not in credit.text.lower()
        text = f"{credit.role.capitalize()}: {credit.text}" if told else credit.text
        done.append(_held(curly_prose(text)))
    return done


def _held(text: str) -> str:
    """A short label before a colon kept on one line with what it labels."""
    label, colon, rest = text.partition(": ")
    if not colon or label.count(" ") > 1:
        return text
    space = "\N{NO-BREAK SPACE}"
    return f"{label.replace(' ', space)}:{space}{rest}"
