"""Letting a tablet in: the address with its picture, and the pairing."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.web.desk import desk_of
from suspirium.web.forms import typed
from suspirium.web.guard import COOKIE, Pairing, is_here
from suspirium.web.lan import qr_svg
from suspirium.web.pages import page
from suspirium.web.texts import texts


def tablet(request: Request) -> Response:
    """How a tablet gets in; the code is shown on this machine only."""
    settings = desk_of(request).settings
    ways = [(way, qr_svg(way)) for way in (settings.there, settings.there_safely) if way]
    code = settings.code if is_here(request) else ""
    return page(request, "tablet.html", here="tablet", ways=ways, code=code)


def ask(request: Request) -> Response:
    """The page that asks for the code."""
    return page(request, "pair.html", wrong="")


async def pair(request: Request) -> Response:
    """Lets a tablet in that knows the code."""
    pairing = request.app.state.pairing
    assert isinstance(pairing, Pairing)
    code = (await typed(request)).get("code", "")
    token = pairing.try_code(code)
    if token is None:
        words = texts()["pair"]
        wrong = words["rests"] if pairing.rests else words["wrong"]
        return page(request, "pair.html", 403, wrong=wrong)
    answer = RedirectResponse("/", 303)
    answer.set_cookie(COOKIE, token, httponly=True, samesite="strict", max_age=7 * 86400)
    return answer


routes = [
    Route("/tablet", tablet),
    Route("/pair", ask),
    Route("/pair", pair, methods=["POST"]),
]
