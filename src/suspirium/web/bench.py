"""The bench view: a hymn, or a whole service, for the music desk; all of it in one page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from suspirium.desk.naming import folder_name
from suspirium.plan.gap import counts
from suspirium.plan.model import LeadingPlan
from suspirium.plan.pulse import counted_beat_q, note_name
from suspirium.render.bench import Bench
from suspirium.render.engrave.gapfigure import Count, gap_counts
from suspirium.render.stanza_lines import stanza_lines
from suspirium.render.words import tempo_words
from suspirium.web.desk import desk_of
from suspirium.web.faces import with_faces_inside
from suspirium.web.pages import HERE, page, render
from suspirium.web.plan_view import Rail, glyph, rail


@dataclass(frozen=True, slots=True)
class BenchLine:
    """One line of a stanza with what happens at its end; `rail` is None at the stanza's end."""

    number: int
    text: str
    rail: Rail | None


@dataclass(frozen=True, slots=True)
class BenchStanza:
    """A stanza as it is played; `step` and `stops` are its registration where there is one."""

    number: int
    lines: tuple[BenchLine, ...]
    step: str = ""
    stops: str = ""


@dataclass(frozen=True, slots=True)
class BenchHymn:
    """All stanzas of a hymn, the gap counted out, the ending; `before` is what comes first."""

    title: str
    words: str
    pulse_glyph: str
    pulse_name: str
    pulse_bpm: str
    before: str
    stanzas: tuple[BenchStanza, ...]
    counts: tuple[Count, ...]
    held: str
    lifted: str
    ending: str
    note: str


def bench_hymn(
    title: str,
    plan: LeadingPlan,
    numbers: Sequence[int] = (),
    sheet: Bench | None = None,
) -> BenchHymn:
    """A hymn for the music desk; in a service with its bench sheet's registrations."""
    beat_q, unit_q = counted_beat_q(plan.hymn), plan.pulse.value.unit_q
    stops = _stops(sheet)
    return BenchHymn(
        title=title,
        words=tempo_words(plan),
        pulse_glyph=glyph(unit_q),
        pulse_name=note_name(unit_q),
        pulse_bpm=f"{plan.tempo.value.quarter_bpm / float(unit_q):.0f}",
        before=_before(sheet, stops),
        stanzas=tuple(
            BenchStanza(number, _lines(plan, number), *stops.get(number, ("", "")))
            for number in numbers or plan.stanza_numbers
        ),
        counts=gap_counts(plan),
        held=counts(plan.gap.value.hold_q, beat_q),
        lifted=counts(plan.gap.value.silence_q, beat_q),
        ending=_ending(plan, sheet),
        note=glyph(beat_q),
    )


def _lines(plan: LeadingPlan, stanza: int) -> tuple[BenchLine, ...]:
    beat_q = counted_beat_q(plan.hymn)
    return tuple(
        BenchLine(
            line.phrase.number,
            line.text,
            None if line.last else rail(line.phrase, line.breath, beat_q),
        )
        for line in stanza_lines(plan, stanza)
    )


def _stops(sheet: Bench | None) -> dict[int, tuple[str, str]]:
    """By stanza (0 the introduction): the step, and what is drawn or moved."""
    rows = sheet.rows if sheet else ()
    return {
        row.stanza: (row.step, "; ".join(f"{head} {text}".strip() for head, text in row.stops))
        for row in rows
    }


def _before(sheet: Bench | None, stops: Mapping[int, tuple[str, str]]) -> str:
    if sheet is None:
        return ""
    step, drawn = stops.get(0, ("", ""))
    said = f"{sheet.introduction} ({sheet.joint})" if sheet.joint else sheet.introduction
    return ". ".join(part for part in (said, step, drawn) if part)


def _ending(plan: LeadingPlan, sheet: Bench | None) -> str:
    if sheet is None or not sheet.amen:
        return plan.ending.reason
    return f"{plan.ending.reason} Amen: {sheet.amen}."


def show_bench(
    request: Request, title: str, hymns: Sequence[BenchHymn], back: str, saved: str
) -> Response:
    """The page; everything it needs to turn is in it."""
    return page(request, "bench.html", title=title, hymns=hymns, back=back, saved=saved, alone=None)


def saved_bench(title: str, hymns: Sequence[BenchHymn]) -> Response:
    """The same as one file that needs no server: styles, script and face inside."""
    alone: dict[str, Any] = {
        name: (HERE / "static" / name).read_text("utf-8") for name in ("desk.css", "bench.js")
    }
    alone["desk.css"] = with_faces_inside(alone["desk.css"])
    text = render("bench.html", title=title, hymns=hymns, back="", saved="", alone=alone)
    headers = {"Content-Disposition": f'attachment; filename="{folder_name(title)}.html"'}
    return HTMLResponse(text, headers=headers)


def show(request: Request) -> Response:
    """The bench view of a hymn."""
    number = request.path_params["number"]
    shown = desk_of(request).shown(number)
    back = f"/hymns/{number}"
    hymns = [bench_hymn(shown.title, shown.plan)]
    return show_bench(request, shown.title, hymns, back, f"{back}/bench.html")


def save(request: Request) -> Response:
    """The bench view of a hymn as a file."""
    shown = desk_of(request).shown(request.path_params["number"])
    return saved_bench(shown.title, [bench_hymn(shown.title, shown.plan)])


routes = [
    Route("/hymns/{number:int}/bench", show),
    Route("/hymns/{number:int}/bench.html", save),
]
