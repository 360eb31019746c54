"""A hymn's page: the engraved score, each decision with its reason, and changing them."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.deciding import StaleError, keep_decisions, keep_text, try_decisions, version_of
from suspirium.desk.line_ends import melody_notes, set_line_ends
from suspirium.desk.planning import PROPOSED, key_asked
from suspirium.desk.showing import Shown, key_after, key_of
from suspirium.web.desk import Desk, desk_of
from suspirium.web.forms import typed
from suspirium.web.pages import fragment, page
from suspirium.web.plan_view import plan_view

WIDTHS_MM = (188.0, 130.0, 85.0)  # of the music: desk, tablet upright, telephone
FIGURES = ("none", "helpful", "all")


def width_of(request: Request) -> float:
    """The width that this screen has room for, as its page found out; the widest at first."""
    asked = request.query_params.get("mm") or request.cookies.get("mm", "")
    return next((mm for mm in WIDTHS_MM if f"{mm:.0f}" == asked), WIDTHS_MM[0])


def figures_of(request: Request) -> str:
    """Which fingers and feet the score shows, as last chosen."""
    asked = request.query_params.get("figures") or request.cookies.get("figures", "")
    return asked if asked in FIGURES else "none"


def shown_of(request: Request) -> Shown:
    """The hymn that a page is about, in the key that is asked for."""
    desk, number = desk_of(request), request.path_params["number"]
    asked = key_asked(request.query_params.get("key") or "printed")
    if asked == PROPOSED:
        asked = desk.proposed(desk.shown(number)).semitones
    return desk.shown(number, asked)


def show(request: Request) -> Response:
    """The hymn with its plan."""
    desk, shown = desk_of(request), shown_of(request)
    figures = figures_of(request)
    answer = page(
        request,
        "hymn.html",
        here="hymns",
        shown=shown,
        key=key_after(shown.plan.hymn, 0),
        view=desk.view(shown),
        notes=list(melody_notes(shown.plan)),
        sheet=desk.sheet(shown, figures, width_of(request), desk.player),
        figures=figures,
        wrong="",
    )
    if "figures" in request.query_params:
        answer.set_cookie("figures", figures, max_age=31536000, samesite="strict")
    return answer


async def lines(request: Request) -> Response:
    """Ends a line at another note, joins two lines, or finds the lines again."""
    desk, number = desk_of(request), request.path_params["number"]
    asked = await typed(request)

    def work() -> Response:
        with desk.library() as library:
            set_line_ends(library, number, asked, asked.get("version", ""), desk.plan_settings)
        return RedirectResponse(f"/hymns/{number}?said=kept#lines", 303)

    return await run_in_threadpool(work)


def score(request: Request) -> Response:
    """Only the engraved score with its line ends, at the width of the screen."""
    desk, shown = desk_of(request), shown_of(request)
    sheet = desk.sheet(shown, figures_of(request), width_of(request), desk.player)
    return fragment("_score.html", shown=shown, view=desk.view(shown), sheet=sheet)


async def consequences(request: Request) -> Response:
    """What would follow from the decisions in the form, without keeping them."""
    desk = desk_of(request)
    asked = await typed(request)

    def work() -> Response:
        shown = shown_of(request)
        tried = try_decisions(shown.found, asked, shown.settings)
        view = plan_view(shown, tried.plan)
        if "score" not in request.query_params:
            return fragment("_consequences.html", view=view)
        key = (key_of(shown.found), shown.settings)
        sheet = desk.sheet_of(tried.plan, width_of(request), tried.text, key)
        return fragment("_score.html", shown=shown, view=view, sheet=sheet)

    return await run_in_threadpool(work)


async def decide(request: Request) -> Response:
    """Keeps the decisions in the form; what was changed elsewhere meanwhile is shown first."""
    desk, number = desk_of(request), request.path_params["number"]
    asked = await typed(request)

    def work() -> Response:
        with desk.library() as library:
            try:
                keep_decisions(library, number, asked, asked.get("version", ""), desk.plan_settings)
            except StaleError as stale:
                return _both(request, desk, number, asked, stale)
        return RedirectResponse(f"/hymns/{number}?said=kept", 303)

    return await run_in_threadpool(work)


def _both(
    request: Request, desk: Desk, number: int, asked: dict[str, str], stale: StaleError
) -> Response:
    """The decisions of this page and those kept meanwhile, side by side."""
    shown = desk.shown(number)
    mine = try_decisions(shown.found, asked, desk.plan_settings).text
    return page(
        request,
        "conflict.html",
        409,
        here="hymns",
        shown=shown,
        text=str(stale),
        mine=mine,
        kept=stale.kept,
        version=version_of(stale.kept),
    )


async def take_mine(request: Request) -> Response:
    """Keeps decisions as text, after both were seen."""
    desk, number = desk_of(request), request.path_params["number"]
    asked = await typed(request)

    def work() -> Response:
        with desk.library() as library:
            try:
                keep_text(library, number, asked.get("text", ""), asked.get("version", ""))
            except StaleError as stale:
                return page(
                    request,
                    "conflict.html",
                    409,
                    here="hymns",
                    shown=desk.shown(number),
                    text=str(stale),
                    mine=asked.get("text", ""),
                    kept=stale.kept,
                    version=version_of(stale.kept),
                )
        return RedirectResponse(f"/hymns/{number}?said=kept", 303)

    return await run_in_threadpool(work)


routes = [
    Route("/hymns/{number:int}", show),
    Route("/hymns/{number:int}/score", score),
    Route("/hymns/{number:int}/consequences", consequences, methods=["POST"]),
    Route("/hymns/{number:int}/decisions", decide, methods=["POST"]),
    Route("/hymns/{number:int}/lines", lines, methods=["POST"]),
    Route("/hymns/{number:int}/decisions/mine", take_mine, methods=["POST"]),
]
