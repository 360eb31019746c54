"""Hands and feet: what the score shows of them, how hard it is, and correcting a note."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.deciding import StaleError
from suspirium.desk.fingering import ARRANGEMENTS, Playing, shared_otherwise
from suspirium.desk.handling import places, set_note
from suspirium.render.fingering import fingering
from suspirium.technique import A_START, CARE
from suspirium.technique.show import SHOWS, Show
from suspirium.web.desk import Desk, desk_of
from suspirium.web.forms import typed
from suspirium.web.hymn import width_of
from suspirium.web.pages import page


def playing_of(request: Request) -> Playing:
    """Who plays, with the voices shared as this page asks."""
    return shared_otherwise(desk_of(request).player, request.query_params.get("shared", ""))


def _asked(arrangement: str, usual: str) -> str:
    return "" if arrangement == usual else f"?shared={arrangement}"


def _page(
    request: Request, desk: Desk, number: int, status: int = 200, wrong: str = ""
) -> Response:
    asked = request.query_params.get("figures", "all")
    figures: Show = next((kind for kind in SHOWS if kind == asked), "all")
    shown, who = desk.shown(number), playing_of(request)
    technique, found = desk.technique(shown, who), list(places(shown.plan))
    return page(
        request,
        "hands.html",
        status,
        here="hymns",
        shown=shown,
        technique=technique,
        technique_words=(A_START, CARE),
        sheet=desk.sheet(shown, figures, width_of(request), who),
        figures=figures,
        legend=fingering(shown.plan, technique, figures).legend,
        ways=ARRANGEMENTS,
        shared=who.arrangement,
        asked=_asked(who.arrangement, desk.player.arrangement),
        places=found,
        voices=[
            (voice.name, [one for one in found if one.voice == voice.name])
            for voice in shown.plan.hymn.voices
        ],
        pedal={note.voice for note in technique.notes if note.plays == "pedal"},
        wrong=wrong,
    )


def show(request: Request) -> Response:
    """Hands and feet of a hymn."""
    return _page(request, desk_of(request), request.path_params["number"])


async def correct(request: Request) -> Response:
    """Keeps one note's finger or foot; the rest is found anew."""
    desk, number = desk_of(request), request.path_params["number"]
    asked = await typed(request)
    who = playing_of(request)

    def work() -> Response:
        try:
            with desk.library() as library:
                version = asked.get("version", "")
                set_note(library, number, asked, version, desk.plan_settings, who)
        except StaleError as stale:
            return _page(request, desk, number, 409, str(stale))
        shared = _asked(who.arrangement, desk.player.arrangement)
        query = f"{shared}&said=kept" if shared else "?said=kept"
        return RedirectResponse(f"/hymns/{number}/hands{query}", 303)

    return await run_in_threadpool(work)


routes = [
    Route("/hymns/{number:int}/hands", show),
    Route("/hymns/{number:int}/hands", correct, methods=["POST"]),
]
