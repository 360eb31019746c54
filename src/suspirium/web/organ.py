"""Organ and room: what holds for every plan, who plays, and the stop lists."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.own_desk import (
    keep_desk,
    keep_organ,
    organ_text,
    organs,
    own_desk,
    take_in_parish_organs,
)
from suspirium.errors import SuspiriumError
from suspirium.web.forms import fields
from suspirium.web.pages import page

_EXAMPLE = """name = "My church"

[Great]
compass = ["C2", "G6"]
stops = ["Open Diapason 8 principal", "Principal 4 principal"]

[Pedal]
pedal = true
compass = ["C2", "F4"]
stops = ["Bourdon 16 stopped"]
"""


def _page(
    request: Request, status: int = 200, wrong: str = "", text: str = "", stem: str = ""
) -> Response:
    return page(
        request,
        "organ.html",
        status,
        here="organ",
        own=own_desk(),
        organs={
            name: (one.name, sum(len(division.stops) for division in one.divisions))
            for name, one in organs().items()
        },
        text=text or _EXAMPLE,
        stem=stem,
        wrong=wrong,
    )


def show(request: Request) -> Response:
    """The page; a stop list to change where one is named."""
    stem = request.query_params.get("organ", "")
    return _page(request, text=organ_text(stem) if stem else "", stem=stem)


async def keep(request: Request) -> Response:
    """Keeps room, people and player."""
    async with request.form() as form:
        asked = fields(form)
    try:
        await run_in_threadpool(keep_desk, asked)
    except SuspiriumError as wrong:
        return await run_in_threadpool(_page, request, 422, str(wrong))
    return RedirectResponse("/organ?said=kept", 303)


async def keep_stops(request: Request) -> Response:
    """Keeps a stop list; what can't be understood is said, and what was typed stays."""
    async with request.form() as form:
        asked = fields(form)
    text, stem = asked.get("text", "").replace("\r\n", "\n"), asked.get("stem", "")
    try:
        await run_in_threadpool(keep_organ, text, stem)
    except SuspiriumError as wrong:
        return await run_in_threadpool(_page, request, 422, str(wrong), text, stem)
    return RedirectResponse("/organ?said=organ_kept", 303)


async def take_in(request: Request) -> Response:
    """Takes the invented organs in."""
    await run_in_threadpool(take_in_parish_organs)
    return RedirectResponse("/organ", 303)


routes = [
    Route("/organ", show),
    Route("/organ", keep, methods=["POST"]),
    Route("/organ/stops", keep_stops, methods=["POST"]),
    Route("/organ/demo", take_in, methods=["POST"]),
]
