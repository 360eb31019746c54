"""Takes: played in or brought as a file, the report in the page, those before."""

from __future__ import annotations

import json
import tempfile
from datetime import datetime
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.hymnal import query, some_hymns
from suspirium.desk.takes import (
    hear,
    list_takes,
    put_down_keys,
    remove_take,
    show_take,
    take_pdf,
)
from suspirium.errors import TakeError
from suspirium.web.desk import Desk, desk_of
from suspirium.web.forms import fields, files, put_down
from suspirium.web.jobs import Job, Outcome
from suspirium.web.pages import page
from suspirium.web.texts import say, texts

_PER_FIELD = 2**22  # of keys played in, as JSON


def every(request: Request) -> Response:
    """All takes, and the hymns to begin one of."""
    with desk_of(request).library() as library:
        found, hymns = list_takes(library), some_hymns(library, query())[0]
    return page(request, "takes.html", here="takes", takes=found, hymns=hymns)


def new(request: Request) -> Response:
    """On to the hymn that was chosen."""
    asked = request.query_params.get("hymn", "")
    return RedirectResponse(f"/hymns/{asked}/takes" if asked.isdecimal() else "/takes", 303)


def of_hymn(request: Request) -> Response:
    """Playing a take of a hymn, and those before."""
    desk, number = desk_of(request), request.path_params["number"]
    shown = desk.shown(number)
    with desk.library() as library:
        found = list_takes(library, number)
    return page(
        request, "take_new.html", here="takes", shown=shown, view=desk.view(shown), takes=found
    )


async def bring(request: Request) -> Response:
    """Takes a file, or keys played into the page; it is heard in the background."""
    desk, number = desk_of(request), request.path_params["number"]
    async with request.form(max_part_size=_PER_FIELD) as form:
        played = fields(form).get("keys", "")
        paths = await put_down(files(form, "take"), desk.folder)
    if played:
        paths = [await run_in_threadpool(_keys, desk, played)]
    if not paths:
        raise TakeError(texts()["takes"]["nothing"])
    title = (await run_in_threadpool(desk.shown, number)).title
    job = desk.jobs.begin(
        say(texts()["takes"]["listening"], title=title),
        lambda job: _hear(desk, job, number, paths[0]),
    )
    if "x-part" in request.headers:
        return Response(f"/jobs/{job.number}", 202, media_type="text/plain")
    return RedirectResponse(f"/jobs/{job.number}", 303)


def _keys(desk: Desk, played: str) -> Path:
    try:
        events = json.loads(played)
    except ValueError:
        raise TakeError(texts()["takes"]["bad_keys"]) from None
    if not isinstance(events, list):
        raise TakeError(texts()["takes"]["bad_keys"])
    path = Path(tempfile.mkdtemp(dir=desk.folder)) / "keyboard.mid"
    put_down_keys(events, path)
    return path


def _hear(desk: Desk, job: Job, number: int, path: Path) -> Outcome:
    now = datetime.combine(desk.settings.today(), datetime.now().time())
    try:
        with desk.library() as library:
            take = hear(library, number, path, desk.plan_settings, now, job.tell)
    finally:
        path.unlink(missing_ok=True)
    return Outcome(texts()["takes"]["heard"], f"/takes/{take}")


def show(request: Request) -> Response:
    """What a take showed."""
    with desk_of(request).library() as library:
        take = show_take(library, request.path_params["take"])
    return page(request, "take.html", here="takes", take=take)


def pdf(request: Request) -> Response:
    """The report on paper."""
    with desk_of(request).library() as library:
        content = take_pdf(library, request.path_params["take"])
    return Response(content, media_type="application/pdf")


def remove(request: Request) -> Response:
    """Takes a report out."""
    with desk_of(request).library() as library:
        remove_take(library, request.path_params["take"])
    return RedirectResponse("/takes", 303)


routes = [
    Route("/takes", every),
    Route("/takes/new", new),
    Route("/hymns/{number:int}/takes", of_hymn),
    Route("/hymns/{number:int}/takes", bring, methods=["POST"]),
    Route("/takes/{take:int}", show),
    Route("/takes/{take:int}/take.pdf", pdf),
    Route("/takes/{take:int}/remove", remove, methods=["POST"]),
]
