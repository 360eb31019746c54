"""The bench view: one hymn for the music desk, all of it in one page."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from suspirium.desk.naming import folder_name
from suspirium.desk.showing import Shown
from suspirium.plan.gap import counts
from suspirium.plan.pulse import counted_beat_q
from suspirium.render.engrave.gapfigure import Count, gap_counts
from suspirium.render.stanza_lines import stanza_lines
from suspirium.web.desk import desk_of
from suspirium.web.faces import with_faces_inside
from suspirium.web.pages import HERE, page, render
from suspirium.web.plan_view import Rail, glyph, plan_view, rail


@dataclass(frozen=True, slots=True)
class BenchLine:
    """One line of a stanza with what happens at its end; `rail` is None at the stanza's end."""

    number: int
    text: str
    rail: Rail | None


@dataclass(frozen=True, slots=True)
class BenchStanza:
    """A stanza as it is played."""

    number: int
    lines: tuple[BenchLine, ...]


@dataclass(frozen=True, slots=True)
class BenchView:
    """All stanzas, the gap counted out, the ending."""

    stanzas: tuple[BenchStanza, ...]
    counts: tuple[Count, ...]
    held: str
    lifted: str
    ending: str
    note: str


def bench_view(shown: Shown) -> BenchView:
    """The hymn for the music desk."""
    plan = shown.plan
    beat_q = counted_beat_q(plan.hymn)
    return BenchView(
        stanzas=tuple(
            BenchStanza(
                number,
                tuple(
                    BenchLine(
                        line.phrase.number,
                        line.text,
                        None if line.last else rail(line.phrase, line.breath, beat_q),
                    )
                    for line in stanza_lines(plan, number)
                ),
            )
            for number in plan.stanza_numbers
        ),
        counts=gap_counts(plan),
        held=counts(plan.gap.value.hold_q, beat_q),
        lifted=counts(plan.gap.value.silence_q, beat_q),
        ending=plan.ending.reason,
        note=glyph(beat_q),
    )


def show(request: Request) -> Response:
    """The bench view; everything it needs to turn pages is in it."""
    shown = desk_of(request).shown(request.path_params["number"])
    return page(
        request,
        "bench.html",
        shown=shown,
        view=plan_view(shown),
        bench=bench_view(shown),
        alone=None,
    )


def save(request: Request) -> Response:
    """The same as one file that needs no server: styles, script and face inside."""
    shown = desk_of(request).shown(request.path_params["number"])
    alone = {name: (HERE / "static" / name).read_text("utf-8") for name in ("desk.css", "bench.js")}
    alone["desk.css"] = with_faces_inside(alone["desk.css"])
    text = render(
        "bench.html",
        shown=shown,
        view=plan_view(shown),
        bench=bench_view(shown),
        alone=alone,
    )
    name = f"{folder_name(shown.title)}.html"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HTMLResponse(text, headers=headers)


routes = [
    Route("/hymns/{number:int}/bench", show),
    Route("/hymns/{number:int}/bench.html", save),
]
