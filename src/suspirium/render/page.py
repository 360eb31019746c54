"""The marked score as pages: PDF and SVG, set by typst."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources
from typing import Any, Literal

from suspirium.plan.model import LeadingPlan
from suspirium.plan.pulse import counted_beat_q, note_name
from suspirium.render.engrave.face import font_folder
from suspirium.render.engrave.gapfigure import gap_figure
from suspirium.render.engrave.notehead import note_path
from suspirium.render.engrave.sheet import Sheet, engrave
from suspirium.render.words import key_name, line_heads, pulse_words, tempo_words

_GAP_WIDTH_MM = 88.0
_REASONS_ON_A_PAGE = 5000  # characters; more than that may run over


@dataclass(frozen=True, slots=True)
class MarkedScore:
    """The marked score: one PDF, the same pages as SVG."""

    pdf: bytes
    svg_pages: tuple[bytes, ...]
    sheet: Sheet


def marked_score(plan: LeadingPlan) -> MarkedScore:
    """The score with the plan drawn in, the stanza gap, the reasons and further stanzas."""
    sheet = engrave(plan)
    data = page_data(plan, sheet)
    return MarkedScore(_set(data, "pdf")[0], tuple(_set(data, "svg")), sheet)


def _set(data: dict[str, Any], form: Literal["pdf", "svg"]) -> list[bytes]:
    import typst

    source = (resources.files("suspirium.render") / "page.typ").read_bytes()
    compiled: Any = typst  # its stubs leave the input's type open
    pages = compiled.compile(
        source,
        font_paths=[str(font_folder())],
        ignore_system_fonts=True,
        format=form,
        sys_inputs={"data": json.dumps(data)},
    )
    return list(pages) if isinstance(pages, list) else [pages]


def page_data(plan: LeadingPlan, sheet: Sheet) -> dict[str, Any]:
    """All that the page template needs, as plain values."""
    hymn, pulse = plan.hymn, plan.pulse.value
    gap_svg, gap_width = gap_figure(plan, _GAP_WIDTH_MM)
    reasons = list(_reasons(plan))
    bpm = round(plan.tempo.value.quarter_bpm / float(pulse.unit_q))
    return {
        "title": hymn.title or "Hymn",
        "tune": hymn.tune,
        "key": ", ".join(part for part in (hymn.metre, key_name(plan)) if part),
        "tempo_words": tempo_words(plan) + ".",
        "pulse_words": pulse_words(plan) + ":",
        "pulse_glyph": _glyph(plan),
        "pulse_bpm": str(bpm),
        "systems": [{"svg": s.svg, "width": s.width_mm} for s in sheet.systems],
        "gap_svg": gap_svg,
        "gap_width": gap_width,
        "gap_reason": plan.gap.reason,
        "reasons": _halved(reasons),
        "reasons_long": sum(len(item["text"]) for item in reasons) > _REASONS_ON_A_PAGE,
        "stanzas": _columns(list(_stanzas(plan, sheet))),
        "credits": list(_credits(plan)),
    }


def _halved(reasons: list[dict[str, str]]) -> list[list[dict[str, str]]]:
    """The reasons in two columns of about the same length, in order."""
    lengths = [len(item["head"]) + len(item["text"]) + 20 for item in reasons]
    total = sum(lengths)
    cut = min(range(len(reasons) + 1), key=lambda n: abs(2 * sum(lengths[:n]) - total))
    return [reasons[:cut], reasons[cut:]]


def _columns(stanzas: list[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    """Stanzas in two columns to be read downwards; none where there are none."""
    half = (len(stanzas) + 1) // 2
    return [stanzas[:half], stanzas[half:]] if stanzas else []


def _credits(plan: LeadingPlan) -> Iterator[str]:
    for credit in plan.hymn.credits:
        told = credit.role and credit.role not in credit.text.lower()
        yield f"{credit.role.capitalize()}: {credit.text}" if told else credit.text


def _glyph(plan: LeadingPlan) -> str:
    path, (x0, y0, x1, y1) = note_path(plan.pulse.value.unit_q, 0.0, 0.0)
    box = f"{x0 - 10:.0f} {y0 - 10:.0f} {x1 - x0 + 20:.0f} {y1 - y0 + 20:.0f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}">'
        f'<path d="{path}" fill="#9B1C31"/></svg>'
    )


def _reasons(plan: LeadingPlan) -> Iterator[dict[str, str]]:
    yield {"head": "Pulse.", "text": plan.pulse.reason}
    yield {"head": "Tempo.", "text": plan.tempo.reason}
    for heads, text in line_heads(plan):
        yield {"head": heads, "text": text}
    yield {"head": "Ending.", "text": plan.ending.reason}
    yield {"head": "Signs.", "text": _signs(plan)}
    for remark in plan.remarks:
        yield {"head": "Note.", "text": f"{str(remark).rstrip('.')}."}


def _signs(plan: LeadingPlan) -> str:
    """The legend: only signs that occur on these pages."""
    kinds = {b.kind for phrase in plan.phrases[:-1] for b in phrase.breaths} or {"full"}
    touches = {touch.kind for touch in plan.touches}
    said = [f"Upright strokes: {note_name(counted_beat_q(plan.hymn))}s that sound."]
    if kinds & {"full", "part"}:
        said.append("Open ring: the lift begins; comma: breathe.")
    if "part" in kinds:
        said.append("Dotted line: the other voices go on.")
    if "carry" in kinds:
        said.append("Arrow: carry, no breath.")
    if touches & {"repeat", "bass_repeat"}:
        said.append("Dot: the note gives way to the next.")
    if "pickup" in touches:
        said.append("Dot and dash: the pickup is detached.")
    return " ".join([*said, "The rule on top ticks once a pulse."])


def _stanzas(plan: LeadingPlan, sheet: Sheet) -> Iterator[dict[str, Any]]:
    """Stanzas that are not under the notes, as text."""
    from suspirium.score.words import plain_text, sung

    for stanza in plan.hymn.stanzas:
        if stanza.number not in sheet.stanzas:
            syllables = sung(plan.hymn, stanza.number)
            lines = [
                plain_text(
                    tuple(s for s in syllables if p.first_onset_q <= s.onset_q <= p.last_onset_q)
                )
                for p in plan.phrases
            ]
            yield {"number": str(stanza.number), "lines": [line for line in lines if line]}
    first = max((stanza.number for stanza in plan.hymn.stanzas), default=0) + 1
    for number, text in enumerate(plan.hymn.plain_stanzas, first):
        yield {"number": str(number), "lines": list(text)}
