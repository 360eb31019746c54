"""The application: its routes, what guards it, and errors in words."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from suspirium.errors import LibraryError, SuspiriumError
from suspirium.web import (
    about,
    bench,
    copies,
    hands,
    hymn,
    hymns,
    job_pages,
    organ,
    service,
    sound,
    tablet,
    takes,
    week,
)
from suspirium.web.desk import Desk
from suspirium.web.faces import bench_worker, face
from suspirium.web.guard import Guard, Pairing
from suspirium.web.pages import HERE, problem
from suspirium.web.settings import WebSettings
from suspirium.web.texts import texts


def create_app(settings: WebSettings = WebSettings()) -> Starlette:  # noqa: B008 (frozen)
    """The app over the usual library; run it with any ASGI server."""
    pairing = Pairing(settings.code)
    app = Starlette(
        routes=[
            Route("/", hymns.home),
            *hymns.routes,
            *hymn.routes,
            *about.routes,
            *copies.routes,
            *sound.routes,
            *bench.routes,
            *hands.routes,
            *takes.routes,
            *week.routes,
            *service.routes,
            *organ.routes,
            *job_pages.routes,
            *tablet.routes,
            Route("/face/{style}", face),
            Route("/bench-worker.js", bench_worker),
            Mount("/static", StaticFiles(directory=HERE / "static")),
        ],
        middleware=[Middleware(Guard, settings=settings, pairing=pairing)],
        exception_handlers={SuspiriumError: _said, 404: _missing, 500: _fault},
        lifespan=_lifespan,
    )
    app.state.desk = Desk(settings)
    app.state.pairing = pairing
    return app


@asynccontextmanager
async def _lifespan(app: Starlette) -> AsyncIterator[None]:
    yield
    app.state.desk.close()


def _said(request: Request, error: Exception) -> Response:
    """An expected failure: one sentence, and the status that fits it."""
    missing = isinstance(error, LibraryError) and "there is no hymn" in str(error)
    return problem(request, str(error), 404 if missing else 422)


def _missing(request: Request, error: Exception) -> Response:
    return problem(request, texts()["problem"]["missing"], 404)


def _fault(request: Request, error: Exception) -> Response:
    name = type(error).__name__
    return problem(request, texts()["problem"]["fault"].format(name=name), 500)
