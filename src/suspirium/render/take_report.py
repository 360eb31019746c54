"""The take report to look at: one self-contained web page, and the same on paper.

Both end with the score, the places of the take marked in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import resources
from math import isfinite
from typing import Any

from suspirium.plan.model import LeadingPlan
from suspirium.render.page_face import face_css
from suspirium.render.take_history import history_rows, history_sentences
from suspirium.render.take_plots import gap_plot, lift_plot, pulse_plot
from suspirium.render.take_rows import (
    LINE_END_COLUMNS,
    TEMPO_COLUMNS,
    TOUCH_COLUMNS,
    fault_words,
    gap_words,
    line_end_rows,
    tempo_rows,
    touch_rows,
)
from suspirium.render.take_score import marked_take
from suspirium.render.take_text import heard, notes_words
from suspirium.render.take_words import restart_words, together
from suspirium.render.typeset import set_document
from suspirium.render.typography import curly_prose
from suspirium.tables import load
from suspirium.take.history import History
from suspirium.take.report import TakeReport

_WIDTH_MM, _HEIGHT_MM = 190.0, 248.0  # of the score on its page, below the heading


def report_pdf(values: Mapping[str, Any]) -> bytes:
    """The report as A4 pages, from its `report_values`; notes are named in the score only."""
    return set_document("take.typ", values)[0]


def report_html(values: Mapping[str, Any]) -> bytes:
    """The report as one HTML file that needs nothing beside it, from its `report_values`."""
    from jinja2 import Environment

    template = (resources.files("suspirium.render") / "take.html").read_text("utf-8")
    page = Environment(autoescape=True).from_string(template)
    shown = page.render(values, face="")
    return page.render(values, face=face_css(shown)).encode()


def report_values(
    report: TakeReport, plan: LeadingPlan, take: str, history: History | None = None
) -> dict[str, Any]:
    """What the report's pages show: words, rows and figures (SVG), and the score with the
    places of the take, system by system.

    `take` names the take in the heading, `plan` is what it was measured against.
    """
    return {
        "title": curly_prose(report.title),
        "take": take,
        "heard": heard(report),
        "remarks": list(report.remarks),
        "advice": [curly_prose(sentence) for sentence in report.advice],
        "praise": list(report.praise),
        "noticed_ms": round(1000 * load("take").number("pulse.noticed_s")),
        "pulse_untold": any(not isfinite(point.late_s) for point in report.pulse),
        "pulse": _inline(pulse_plot(report)),
        "lifts": _inline(lift_plot(report)),
        "gaps": _inline(gap_plot(report)),
        "tempo_columns": list(TEMPO_COLUMNS),
        "tempos": list(tempo_rows(report)) if report.tempos else [],
        "columns": list(LINE_END_COLUMNS),
        "line_ends": list(line_end_rows(report)),
        "gaps_even": gap_words(report),
        "touch_columns": list(TOUCH_COLUMNS),
        "touches": list(touch_rows(report)),
        "notes": notes_words(report),
        "faults": [fault_words(fault) for fault in report.faults],
        "again": list(restart_words(report)),
        "left_out": list(together(report.not_measured)),
        "since": list(history_sentences(history)) if history else [],
        "takes": history_rows(history) if history and history.against else [],
        "score": list(_score(report, plan)),
        "page_height": _HEIGHT_MM,
    }


def _score(report: TakeReport, plan: LeadingPlan) -> Iterator[dict[str, Any]]:
    marked = marked_take(report, plan, width_mm=_WIDTH_MM, height_mm=_HEIGHT_MM)
    for system in marked.systems if marked else ():
        scale = marked.scale if marked else 0.0
        size = {"width": scale * system.width_mm, "height": scale * system.height_mm}
        yield {"svg": system.svg, **size}


def _inline(svg: bytes | None) -> str:
    """The figure without the declarations that only a file of its own needs."""
    if svg is None:
        return ""
    text = svg.decode()
    return text[text.index("<svg") :]
