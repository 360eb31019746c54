"""Services: their order, every hymn as it is played there, sheets and the bench view."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.hymnal import query, some_hymns
from suspirium.desk.orders import (
    add_to_order,
    begin_order,
    change_order,
    order_path,
    order_state,
    order_version,
    orders,
)
from suspirium.desk.own_desk import organs, own_desk
from suspirium.desk.service_files import hymn_sound, service_sheets
from suspirium.desk.serving import the_service
from suspirium.errors import ServiceError, SuspiriumError
from suspirium.render.bench import Bench, bench_of
from suspirium.render.service_words import (
    CAUTION,
    moment_words,
    stanza_words,
    time_words,
    when_words,
)
from suspirium.service.order import HymnMoment
from suspirium.service.served import Served
from suspirium.service.whole import Service
from suspirium.verse.character import CHARACTERS
from suspirium.web.bench import BenchHymn, bench_hymn, saved_bench, show_bench
from suspirium.web.desk import Desk, desk_of
from suspirium.web.forms import typed
from suspirium.web.pages import page

_PLACES = ("opening", "middle", "prayer", "communion", "closing")
_KEYS: tuple[str | int, ...] = ("printed", "proposed", 3, 2, 1, -1, -2, -3, -4)
_SHEETS = {"bench.pdf": "application/pdf", "choir.pdf": "application/pdf",
           "service.ics": "text/calendar"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class MomentView:
    """One moment of the order; `bench` is None where no hymn is sung."""

    at: str
    what: str
    lasts: str
    stanzas: str = ""
    hymn: str = ""
    relation: str = ""
    number: int = 0
    bench: Bench | None = None
    reasons: tuple[str, ...] = ()
    moment: HymnMoment | None = None
    sung: tuple[int, ...] = ()


def listed(request: Request) -> Response:
    """All services, and the form to begin one."""
    today = desk_of(request).settings.today()
    return page(
        request,
        "services.html",
        here="service",
        orders=[(stem, order, when_words(order)) for stem, order in orders()],
        organs={stem: organ.name for stem, organ in organs().items()},
        today=today.isoformat(),
    )


async def begin(request: Request) -> Response:
    """Begins a service."""
    asked = await typed(request)
    own = await run_in_threadpool(own_desk)
    stem = await run_in_threadpool(begin_order, asked, own.room, own.singers)
    return RedirectResponse(f"/service/{stem}", 303)


def _service(desk: Desk, stem: str) -> Service:
    return desk.services.get(order_state(stem), lambda: the_service(order_path(stem))[0])


def show(request: Request) -> Response:
    """The order with its times, keys, introductions and stops; forms to add to it."""
    return _page(request, request.path_params["stem"])


def _page(request: Request, stem: str, status: int = 200, wrong: str = "") -> Response:
    desk = desk_of(request)
    version = order_version(stem)
    service: Service | None = None
    try:
        service = _service(desk, stem)
    except SuspiriumError as problem:
        wrong = wrong or str(problem)
    with desk.library() as library:
        hymns = some_hymns(library, query())[0]
    order = next(order for name, order in orders() if name == stem)
    return page(
        request,
        "service.html",
        status,
        here="service",
        stem=stem,
        version=version,
        order=order,
        when=when_words(order),
        moments=list(_moments(service)) if service else [],
        broken=[getattr(one, "hymn", "") or getattr(one, "what", "") for one in order.moments]
        if service is None
        else [],
        remarks=service.remarks if service else (),
        lasts=time_words(service.seconds) if service else "",
        hymns=hymns,
        places=_PLACES,
        keys=_KEYS,
        usual=HymnMoment(""),
        characters=CHARACTERS,
        caution=CAUTION,
        wrong=wrong,
    )


def _moments(service: Service) -> Iterator[MomentView]:
    relations = iter(("", *(f"{one.keys}; {one.pulse}" for one in service.relations)))
    number = 0
    for at_s, moment, lasts_s in service.timed():
        at, lasts = time_words(at_s, service.order.begins), time_words(lasts_s)
        if not isinstance(moment, Served):
            yield MomentView(at, moment_words(moment), lasts)
            continue
        number += 1
        yield MomentView(
            at,
            moment.title,
            lasts,
            stanza_words(moment),
            moment.moment.hymn if moment.moment.hymn.isdigit() else "",
            next(relations),
            number,
            bench_of(moment, service.organ),
            tuple(dict.fromkeys(row.reason for row in moment.rows)),
            moment.moment,
            moment.plan.stanza_numbers,
        )


async def add(request: Request) -> Response:
    """Puts a hymn or another moment at the end."""
    stem = request.path_params["stem"]
    asked = await typed(request)
    return await run_in_threadpool(_changed, request, stem, lambda: add_to_order(stem, asked))


async def change(request: Request) -> Response:
    """Moves a moment, takes it out, or has a hymn played in another way."""
    stem = request.path_params["stem"]
    asked = await typed(request)
    place = int(asked.get("moment", "")) if asked.get("moment", "").isdigit() else -1

    def work() -> None:
        change_order(stem, asked.get("version", ""), place, asked.get("how", ""), asked)

    return await run_in_threadpool(_changed, request, stem, work)


def _changed(request: Request, stem: str, work: Callable[[], None]) -> Response:
    order_path(stem)
    try:
        work()
    except SuspiriumError as wrong:
        return _page(request, stem, 422, str(wrong))
    return RedirectResponse(f"/service/{stem}?said=changed", 303)


def sheet(request: Request) -> Response:
    """A sheet for paper, or the calendar file."""
    desk, stem, name = desk_of(request), request.path_params["stem"], request.path_params["name"]
    service = _service(desk, stem)
    files = desk.tasks.get((order_state(stem), "sheets"), lambda: service_sheets(service))
    if name not in _SHEETS or name not in files:
        return Response(status_code=404)
    return Response(files[name], media_type=_SHEETS[name])


def sound(request: Request) -> Response:
    """A hymn as it is played in the service, on its stops."""
    desk, stem, number = desk_of(request), request.path_params["stem"], request.path_params["n"]
    service = _service(desk, stem)
    if not 1 <= number <= len(service.served):
        return Response(status_code=404)
    name = f"{order_state(stem)}-{number}"

    def make() -> Path:
        files = hymn_sound(service.served[number - 1], service.organ, ("flac",), False)
        return desk.put_file(f"service-{name}.flac", files["leading.flac"])

    return FileResponse(desk.sounds.get(name, make), media_type="audio/flac")


def _bench(service: Service) -> list[BenchHymn]:
    return [
        bench_hymn(one.title, one.plan, one.stanzas, bench_of(one, service.organ))
        for one in service.served
    ]


def bench(request: Request) -> Response:
    """The whole service for the music desk."""
    stem = request.path_params["stem"]
    service = _service(desk_of(request), stem)
    if not service.served:
        raise ServiceError("this service has no hymns yet")
    back = f"/service/{stem}"
    hymns = _bench(service)
    return show_bench(request, service.order.name, hymns, back, f"{back}/bench.html")


def save(request: Request) -> Response:
    """The same as a file."""
    service = _service(desk_of(request), request.path_params["stem"])
    return saved_bench(service.order.name, _bench(service))


routes = [
    Route("/service", listed),
    Route("/service", begin, methods=["POST"]),
    Route("/service/{stem}", show),
    Route("/service/{stem}/add", add, methods=["POST"]),
    Route("/service/{stem}/change", change, methods=["POST"]),
    Route("/service/{stem}/bench", bench),
    Route("/service/{stem}/bench.html", save),
    Route("/service/{stem}/hymn-{n:int}.flac", sound),
    Route("/service/{stem}/{name}", sheet),
]
