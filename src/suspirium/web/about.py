"""What is known of a hymn beside its plan: key, notes, rights, words, other tunes, its record."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.beside import (
    Beside,
    Right,
    beside,
    keep_beside,
    to_tune,
    with_words,
    words_tried,
)
from suspirium.desk.deciding import StaleError
from suspirium.desk.exchanging import exchange
from suspirium.desk.hymnal import show_hymn
from suspirium.desk.showing import key_after, keys_within_reach
from suspirium.desk.underlaying import Underlay
from suspirium.desk.week_record import record_by_digest
from suspirium.errors import SuspiriumError
from suspirium.render.week_text import record_line
from suspirium.store.hymnal import digest_of
from suspirium.web.desk import desk_of
from suspirium.web.forms import typed
from suspirium.web.pages import page

_TUNES = 12  # other tunes shown, the best of them


def _page(
    request: Request,
    status: int = 200,
    *,
    own: Beside | None = None,
    text: str = "",
    tried: Underlay | None = None,
    wrong: str = "",
) -> Response:
    desk, number = desk_of(request), request.path_params["number"]
    shown = desk.shown(number)
    with desk.library() as library:
        kept = beside(library, number)
        known = show_hymn(library, str(number))
        tunes = exchange(library, str(number))[:_TUNES] if known["stanzas"] else []
        record = record_by_digest(library, digest_of(shown.found.score), desk.settings.today())
    return page(
        request,
        "about.html",
        status,
        here="hymns",
        shown=shown,
        known=known,
        proposal=desk.proposed(shown),
        keys=keys_within_reach(shown.plan.hymn),
        printed=key_after(shown.plan.hymn, 0),
        beside=own or kept,
        version=kept.version,
        tunes=tunes,
        record=record,
        lines=[(line["on"], record_line(line)) for line in record["lines"]] if record else [],
        text=text,
        tried=tried,
        wrong=wrong,
    )


def show(request: Request) -> Response:
    """The page about a hymn."""
    return _page(request)


async def keep(request: Request) -> Response:
    """Keeps notes, tags and rights; what was changed elsewhere meanwhile is shown first."""
    desk, number = desk_of(request), request.path_params["number"]
    asked = await typed(request)

    def work() -> Response:
        with desk.library() as library:
            wanted = _typed(asked, beside(library, number))
            try:
                keep_beside(library, number, wanted, asked.get("version", ""))
            except StaleError as stale:
                wrong = f"{stale}: “{stale.kept}”" if stale.kept else str(stale)
                return _page(request, 409, own=wanted, wrong=wrong)
        return RedirectResponse(f"/hymns/{number}/about?said=kept", 303)

    return await run_in_threadpool(work)


def _typed(asked: dict[str, str], kept: Beside) -> Beside:
    rights = tuple(
        Right(
            right.part,
            asked.get(f"credit-{right.part}", "").strip(),
            asked.get(f"licence-{right.part}", "").strip(),
        )
        for right in kept.rights
    )
    tags = tuple(word.strip() for word in asked.get("tags", "").split(",") if word.strip())
    return Beside(asked.get("notes", "").replace("\r\n", "\n").strip(), tags, rights)


async def tune(request: Request) -> Response:
    """Lays the hymn's words under another tune: a new hymn."""
    desk, number = desk_of(request), request.path_params["number"]
    other = (await typed(request)).get("tune", "")

    def work() -> Response:
        with desk.library() as library:
            made = to_tune(library, number, int(other) if other.isdecimal() else 0, desk.folder)
        return RedirectResponse(f"/hymns/{made}?said=laid", 303)

    return await run_in_threadpool(work)


async def words(request: Request) -> Response:
    """Lays stanzas under the notes: tried first, then kept as a new hymn."""
    desk, number = desk_of(request), request.path_params["number"]
    asked = await typed(request)
    text = asked.get("text", "")

    def work() -> Response:
        with desk.library() as library:
            try:
                if asked.get("how") == "keep":
                    made = with_words(library, number, text, desk.folder)
                    return RedirectResponse(f"/hymns/{made}?said=laid", 303)
                tried = words_tried(library, number, text)
            except SuspiriumError as problem:
                return _page(request, 422, text=text, wrong=str(problem))
        return _page(request, text=text, tried=tried)

    return await run_in_threadpool(work)


routes = [
    Route("/hymns/{number:int}/about", show),
    Route("/hymns/{number:int}/about", keep, methods=["POST"]),
    Route("/hymns/{number:int}/tune", tune, methods=["POST"]),
    Route("/hymns/{number:int}/words", words, methods=["POST"]),
]
