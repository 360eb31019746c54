"""Who may ask: this machine, or a paired tablet; never a foreign page."""

from __future__ import annotations

import hmac
import secrets
import time
from urllib.parse import urlsplit

from starlette.middleware.base import BaseHTTPMiddleware, RequestResponseEndpoint
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp

from suspirium.web.settings import SCORE_BYTES, TAKE_BYTES, WebSettings

COOKIE = "suspirium-pair"
_OPEN = ("/pair", "/static/", "/face/")  # what an unpaired tablet may see
_LARGE = ("/takes", "/library/restore")  # recordings, and a library with its takes
_LOCAL = {"127.0.0.1", "::1", "testclient"}
_TRIES, _REST_S = 5, 60.0  # wrong codes before pairing rests, and for how long
_POLICY = (
    "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
    "media-src 'self' blob:; frame-ancestors 'none'; base-uri 'none'; form-action 'self'; "
    "object-src 'none'"
)
HEADERS = {
    "Content-Security-Policy": _POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "microphone=(self), midi=(self), screen-wake-lock=(self)",
    "Cross-Origin-Opener-Policy": "same-origin",
}


class Pairing:
    """Tablets let in by a code; too many wrong ones and nobody is let in for a while."""

    def __init__(self, code: str) -> None:
        self._code = code
        self._let_in: set[str] = set()
        self._wrong = 0
        self._rests_until = 0.0

    def try_code(self, typed: str) -> str | None:
        """A token for the tablet's cookie; None for a wrong code, or while pairing rests."""
        now = time.monotonic()
        if not self._code or now < self._rests_until:
            return None
        if not hmac.compare_digest(typed.strip().encode(), self._code.encode()):
            self._wrong += 1
            if self._wrong >= _TRIES:
                self._wrong, self._rests_until = 0, now + _REST_S
            return None
        self._wrong = 0
        token = secrets.token_urlsafe(24)
        self._let_in.add(token)
        return token

    @property
    def rests(self) -> bool:
        """Whether no code is taken for the moment."""
        return time.monotonic() < self._rests_until

    def paired(self, token: str) -> bool:
        """Whether this token was given out in this run."""
        return token in self._let_in


class Guard(BaseHTTPMiddleware):
    """Refuses what is not meant for this app; adds the headers that browsers heed."""

    def __init__(self, app: ASGIApp, settings: WebSettings, pairing: Pairing) -> None:
        super().__init__(app)
        self._settings = settings
        self._pairing = pairing

    async def dispatch(self, request: Request, call_next: RequestResponseEndpoint) -> Response:
        refused = self._refused(request)
        if refused is None and not self._may_see(request):
            refused = RedirectResponse("/pair", 303)
        response = refused or await call_next(request)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if "cache-control" not in response.headers:
            response.headers["Cache-Control"] = "no-cache"
        return response

    def _refused(self, request: Request) -> Response | None:
        host = request.headers.get("host", "")
        if _name(host) not in self._settings.answers_to:
            return PlainTextResponse(f"This desk does not answer to {_name(host)!r}.", 400)
        if request.method in ("GET", "HEAD"):
            return None
        origin = request.headers.get("origin")
        foreign = origin is not None and urlsplit(origin).netloc != host
        if foreign or request.headers.get("sec-fetch-site", "same-origin") == "cross-site":
            return PlainTextResponse("This came from another page and was refused.", 403)
        length = request.headers.get("content-length")
        if length is None or not length.isdigit():
            return PlainTextResponse("The length of what is sent must be told.", 411)
        most = TAKE_BYTES if request.url.path.endswith(_LARGE) else SCORE_BYTES
        if int(length) > most:
            return PlainTextResponse(
                f"This is larger than {most // 2**20} MB and was not taken in.", 413
            )
        return None

    def _may_see(self, request: Request) -> bool:
        if not self._settings.address:
            return True
        if is_here(request) or request.url.path.startswith(_OPEN):
            return True
        return self._pairing.paired(request.cookies.get(COOKIE, ""))


def is_here(request: Request) -> bool:
    """Whether this machine itself asks."""
    return request.client is not None and request.client.host in _LOCAL


def _name(host: str) -> str:
    return host.rpartition(":")[0] if host.rpartition(":")[2].isdigit() else host
