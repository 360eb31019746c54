"""Pages from templates, errors in words."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from suspirium.render.typography import curly, curly_prose
from suspirium.web.texts import say, texts

HERE = Path(__file__).parent


def duration(seconds: float) -> str:
    """Minutes and seconds for reading: 1:17 min, or 43 s below a minute."""
    whole = round(seconds)
    return f"{whole} s" if whole < 60 else f"{whole // 60}:{whole % 60:02} min"


def _environment() -> Environment:
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals.update(t=texts(), say=say)
    made.filters.update(duration=duration, curly=curly_prose, curly_verse=curly)
    return made


_TEMPLATES = _environment()


def render(name: str, **values: Any) -> str:
    """A template as text."""
    return _TEMPLATES.get_template(name).render(values)


def page(request: Request, name: str, status: int = 200, **values: Any) -> HTMLResponse:
    """A whole page; `here` is the part of the navigation that it belongs to."""
    desk = request.app.state.desk
    shared = {
        "here": values.pop("here", ""),
        "lan": bool(desk.settings.address),
        "running": desk.jobs.running(),
        "said": request.query_params.get("said", ""),
    }
    return HTMLResponse(render(name, **(shared | values)), status)


def fragment(name: str, status: int = 200, **values: Any) -> HTMLResponse:
    """A part of a page, to be put in its place."""
    return HTMLResponse(render(name, **values), status)


def problem(request: Request, text: str, status: int) -> Response:
    """One sentence on what went wrong: as part of a page where one is asked for."""
    if request.headers.get("x-part"):
        return fragment("_problem.html", status, text=text)
    return page(request, "problem.html", status, text=text)


def see(path: str, **query: str) -> Mapping[str, str]:
    """The headers that send the browser on after a change."""
    from urllib.parse import urlencode

    return {"Location": f"{path}?{urlencode(query)}" if query else path}
