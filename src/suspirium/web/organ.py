"""Organ and room: what holds for every plan, who plays, and the stop lists."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.fingering import ARRANGEMENTS
from suspirium.desk.own_desk import (
    keep_desk,
    keep_organ,
    organ_text,
    organs,
    own_desk,
    take_in_parish_organs,
)
from suspirium.desk.stop_lists import (
    COMPASSES,
    DivisionRow,
    StopList,
    StopRow,
    stop_list,
    stop_list_asked,
    stop_list_text,
)
from suspirium.errors import SuspiriumError
from suspirium.room import presets, read_room
from suspirium.service.organ import read_organ
from suspirium.tables import load
from suspirium.web.forms import typed
from suspirium.web.pages import page

# What a new organ begins with.
_BEGUN = StopList(
    divisions=(
        DivisionRow("Great", stops=(StopRow("Open Diapason", "8", "principal"),)),
        DivisionRow(
            "Pedal", pedal=True, compass="C2-F4", stops=(StopRow("Bourdon", "16", "stopped"),)
        ),
    )
)
_EMPTY_ROWS = 3  # below the stops of a division, to go on typing


def _page(
    request: Request,
    status: int = 200,
    wrong: str = "",
    listed: StopList | None = None,
    text: str = "",
    stem: str = "",
    rows: int = _EMPTY_ROWS,
) -> Response:
    own = own_desk()
    return page(
        request,
        "organ.html",
        status,
        here="organ",
        own=own,
        ways=ARRANGEMENTS,
        rooms=presets(),
        measured=_measured(own.room),
        organs={
            name: (one.name, sum(len(division.stops) for division in one.divisions))
            for name, one in organs().items()
        },
        listed=listed or _BEGUN,
        rows=rows,
        compasses=COMPASSES,
        families=load("organs")["families"],
        pitches=load("organs")["pitches"],
        text=text,
        stem=stem,
        wrong=wrong,
    )


def _measured(room: str) -> tuple[str, str]:
    """Seconds and metres of a room that is none of the presets."""
    if room in presets():
        return "", ""
    found = read_room(room)
    return f"{found.rt_s:g}", f"{found.distance_m:g}"


def show(request: Request) -> Response:
    """The page; a stop list to change where one is named."""
    stem = request.query_params.get("organ", "")
    if not stem:
        return _page(request)
    text = organ_text(stem)
    try:
        return _page(request, listed=stop_list(read_organ(text)), text=text, stem=stem)
    except SuspiriumError as wrong:  # the file was changed by hand
        return _page(request, 422, str(wrong), text=text, stem=stem)


async def keep(request: Request) -> Response:
    """Keeps room, people and player."""
    asked = await typed(request)
    if hangs := asked.get("hangs", "").strip().replace(",", "."):
        away = asked.get("away", "").strip().replace(",", ".")
        asked["room"] = f"{hangs},{away}" if away else hangs
    try:
        await run_in_threadpool(keep_desk, asked)
    except SuspiriumError as wrong:
        return await run_in_threadpool(_page, request, 422, str(wrong))
    return RedirectResponse("/organ?said=kept", 303)


async def keep_stops(request: Request) -> Response:
    """Keeps a stop list; what can't be understood is said, and what was typed stays."""
    asked = await typed(request)
    return await run_in_threadpool(_keep_stops, request, asked)


def _keep_stops(request: Request, asked: Mapping[str, str]) -> Response:
    stem = asked.get("stem", "")
    if "text" in asked:
        text = asked["text"].replace("\r\n", "\n")
        try:
            keep_organ(text, stem)
        except SuspiriumError as wrong:
            return _page(request, 422, str(wrong), text=text, stem=stem)
        return RedirectResponse("/organ?said=organ_kept", 303)
    listed = stop_list_asked(asked)
    if asked.get("how") == "rows":
        return _page(request, listed=listed, stem=stem, rows=4 * _EMPTY_ROWS)
    if asked.get("how") == "division":
        more = replace(listed, divisions=(*listed.divisions, DivisionRow()))
        return _page(request, listed=more, stem=stem)
    try:
        keep_organ(stop_list_text(listed), stem)
    except SuspiriumError as wrong:
        return _page(request, 422, str(wrong), listed=listed, stem=stem)
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
