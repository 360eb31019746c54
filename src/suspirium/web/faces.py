"""Files with an address of their own: the book face, and the worker of the bench views."""

from __future__ import annotations

from base64 import b64encode

from starlette.requests import Request
from starlette.responses import FileResponse, Response

from suspirium.render.engrave.face import font_folder
from suspirium.web.pages import HERE

_FILES = {
    "regular": "SourceSerifPro-Regular.ttf",
    "bold": "SourceSerifPro-Bold.ttf",
    "italic": "SourceSerifPro-It.ttf",
}


def face(request: Request) -> Response:
    """One style of the face the pages are set in."""
    name = _FILES.get(request.path_params["style"])
    if name is None:
        return Response(status_code=404)
    headers = {"Cache-Control": "public, max-age=31536000, immutable"}
    return FileResponse(font_folder() / name, media_type="font/ttf", headers=headers)


def with_faces_inside(styles: str) -> str:
    """Styles that name the face by its address, with the face itself in its place."""
    for style, name in _FILES.items():
        data = b64encode((font_folder() / name).read_bytes()).decode()
        styles = styles.replace(f"/face/{style}", f"data:font/ttf;base64,{data}")
    return styles


def bench_worker(request: Request) -> Response:
    """The worker that keeps bench views; its address says what it may answer for: all pages."""
    path = HERE / "static" / "bench-worker.js"
    return FileResponse(path, media_type="text/javascript", headers={"Cache-Control": "no-cache"})
