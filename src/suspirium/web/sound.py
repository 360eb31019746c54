"""Sound for the pages: a recording that can be entered anywhere, and its times."""

from __future__ import annotations

from hashlib import sha256

from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from suspirium.desk.hearing import Hearing, hearing, hymn_file, sound_of, timing_of
from suspirium.desk.naming import folder_name
from suspirium.desk.printing import printed
from suspirium.desk.showing import key_of
from suspirium.web.desk import desk_of
from suspirium.web.hands import playing_of
from suspirium.web.hymn import figures_of, shown_of


def _asked(request: Request) -> Hearing:
    asked = request.query_params
    return hearing(asked.get("tempo", ""), "ticks" in asked, asked.get("voices", ""))


def sound(request: Request) -> Response:
    """The recording; browsers ask for the stretch they need."""
    desk, how = desk_of(request), _asked(request)
    shown = shown_of(request)
    key = (key_of(shown.found), shown.settings, how)
    name = sha256(repr(key).encode()).hexdigest()[:24]
    path = desk.sounds.get(name, lambda: desk.put_file(f"{name}.flac", sound_of(shown.plan, how)))
    return FileResponse(path, media_type="audio/flac", headers={"Cache-Control": "no-store"})


def to_take_along(request: Request) -> Response:
    """The hymn as a file: a recording, or MIDI, with what the page asks of its sound."""
    asked = request.query_params
    shown = shown_of(request)
    form = hymn_file(shown.plan, asked.get("form", "flac"), _asked(request))
    name = f"{folder_name(shown.title)}.{form.ending}"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(form.content, media_type=form.media, headers=headers)


def timing(request: Request) -> Response:
    """When each note of the recording sounds."""
    return JSONResponse(timing_of(shown_of(request).plan, _asked(request)))


def print_sheet(request: Request) -> Response:
    """A sheet for paper."""
    desk, sheet = desk_of(request), request.path_params["sheet"]
    shown = shown_of(request)
    show, who = figures_of(request), playing_of(request)
    key = (key_of(shown.found), shown.settings, who, sheet, show)
    pdf = desk.files.get(
        key, lambda: printed(sheet, shown.plan, lambda: desk.technique(shown, who), show)
    )
    headers = {"Content-Disposition": f'inline; filename="{sheet}.pdf"'}
    return Response(pdf, media_type="application/pdf", headers=headers)


routes = [
    Route("/hymns/{number:int}/sound.flac", sound),
    Route("/hymns/{number:int}/file", to_take_along),
    Route("/hymns/{number:int}/timing.json", timing),
    Route("/hymns/{number:int}/print/{sheet}.pdf", print_sheet),
]
