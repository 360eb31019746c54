"""The list of hymns: looked through, searched, added to; the first run."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.hymnal import add_scores, query, remove_hymn, some_hymns
from suspirium.desk.own_desk import take_in_parish_organs
from suspirium.desk.parish import parish_scores
from suspirium.errors import SearchError
from suspirium.web.desk import Desk, desk_of
from suspirium.web.forms import files, put_down
from suspirium.web.jobs import Job, Outcome
from suspirium.web.pages import page
from suspirium.web.texts import say, texts

_ON_PAGE = 100  # hymns on one page of the list
_ASKED = ("text", "notes", "metre", "key", "within", "tag", "easier", "shorter")


def home(request: Request) -> Response:
    """The list of hymns; where there are none, the way in."""
    asked = {name: request.query_params.get(name, "").strip() for name in _ASKED}
    desk = desk_of(request)
    error = ""
    found: list[dict[str, object]] = []
    count = 0
    first = int(request.query_params.get("first", "")) if _digits(request) else 0
    try:
        wanted = query(
            text=asked["text"],
            notes=asked["notes"],
            metre=asked["metre"],
            key=asked["key"],
            within=asked["within"],
            tag=asked["tag"],
            difficulty=(None, _number(asked["easier"])),
            duration_s=(None, _minutes(asked["shorter"])),
        )
        with desk.library() as library:
            found, count = some_hymns(library, wanted, first, _ON_PAGE)
    except SearchError as wrong:
        error = str(wrong)
    if not count and not any(asked.values()):
        return page(request, "first.html", here="hymns")
    kept = {name: value for name, value in asked.items() if value}
    return page(
        request,
        "hymns.html",
        here="hymns",
        found=found,
        count=count,
        first=first,
        earlier=_more(kept, first - _ON_PAGE) if first else "",
        later=_more(kept, first + _ON_PAGE) if first + _ON_PAGE < count else "",
        asked=asked,
        error=error,
    )


def _digits(request: Request) -> bool:
    return request.query_params.get("first", "").isdecimal()


def _more(asked: dict[str, str], first: int) -> str:
    return f"/?{urlencode(asked | {'first': max(0, first)})}"


def _number(text: str) -> float | None:
    try:
        return float(text.replace(",", ".")) if text else None
    except ValueError:
        raise SearchError(f"{text!r} is no number") from None


def _minutes(text: str) -> float | None:
    minutes = _number(text)
    return None if minutes is None else 60 * minutes


async def add(request: Request) -> Response:
    """Takes scores in, in the background."""
    desk = desk_of(request)
    async with request.form(max_files=500) as form:
        paths = await put_down(files(form, "scores"), desk.folder)
    if not paths:
        return page(request, "problem.html", 422, text=texts()["hymns"]["none_chosen"])
    return _begin(desk, paths, texts()["hymns"]["adding"])


async def demo(request: Request) -> Response:
    """Takes the demo parish in."""
    paths = await run_in_threadpool(parish_scores)
    await run_in_threadpool(take_in_parish_organs)
    return _begin(desk_of(request), list(paths), texts()["first"]["demo_adding"])


def _begin(desk: Desk, paths: list[Path], title: str) -> Response:
    job = desk.jobs.begin(title, lambda job: _take_in(desk, job, paths))
    return RedirectResponse(f"/jobs/{job.number}", 303)


def _take_in(desk: Desk, job: Job, paths: list[Path]) -> Outcome:
    counted = 0
    job.tell("", 0, len(paths))

    def told(name: str) -> None:
        nonlocal counted
        job.tell(name, counted, len(paths))
        counted += 1

    with desk.library() as library:
        done = add_scores(library, paths, told)
    words = texts()["hymns"]
    said = [say(words["added"], n=len(done.added))]
    if done.present:
        said.append(say(words["present"], n=done.present))
    failed = tuple(f"{Path(path).name}: {why}" for path, why in done.failed)
    return Outcome(" ".join(said), "/", failed)


async def remove(request: Request) -> Response:
    """Takes a hymn out of the library."""
    number = int(request.path_params["number"])

    def work() -> None:
        with desk_of(request).library() as library:
            remove_hymn(library, number)

    await run_in_threadpool(work)
    return RedirectResponse("/", 303)


routes = [
    Route("/hymns", add, methods=["POST"]),
    Route("/demo", demo, methods=["POST"]),
    Route("/hymns/{number:int}/remove", remove, methods=["POST"]),
]
