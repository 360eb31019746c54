"""A hymn's pages for paper, one at a time."""

from __future__ import annotations

from collections.abc import Callable

from suspirium.errors import OutputError
from suspirium.plan.model import LeadingPlan
from suspirium.render.fingering import fingering
from suspirium.render.page import marked_score
from suspirium.render.parts import part_sheets
from suspirium.render.words_sheet import words_pdf
from suspirium.technique.model import Technique
from suspirium.technique.show import SHOWS, Show

SHEETS = ("marked", "words", "parts")


def printed(
    sheet: str, plan: LeadingPlan, technique: Callable[[], Technique], show: str = "none"
) -> bytes:
    """One of `SHEETS` as PDF; `OutputError` for another, or where there are no words to print."""
    if sheet == "marked":
        chosen: Show = next((known for known in SHOWS if known == show), "none")
        return marked_score(plan, fingering(plan, technique(), chosen)).pdf
    if sheet == "parts":
        return part_sheets(plan, technique())
    if sheet == "words":
        if pdf := words_pdf(plan):
            return pdf
        raise OutputError("this hymn has no words to print")
    raise OutputError(f"the sheets are {', '.join(SHEETS)}, not {sheet!r}")
