"""Copies of the library: one file to keep, everything in open formats, bringing one back."""

from __future__ import annotations

import zipfile
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.hymnal import export_library, library_path, restore_library
from suspirium.desk.own_desk import desk_folder
from suspirium.store.backup import back_up
from suspirium.web.desk import Desk, desk_of
from suspirium.web.forms import files, put_down
from suspirium.web.jobs import Job, Outcome
from suspirium.web.pages import page
from suspirium.web.texts import say, texts


def show(request: Request) -> Response:
    """How the library is kept safe."""
    before = sorted(path.name for path in library_path().parent.glob("*-before-*.sqlite"))
    place = library_path()
    return page(
        request, "copies.html", here="hymns", place=place, folder=desk_folder(), before=before
    )


def copy(request: Request) -> Response:
    """The whole library as one file."""
    desk = desk_of(request)
    path = desk.folder / "copy.sqlite"
    back_up(library_path(), path)
    name = f"hymnal-{desk.settings.today().isoformat()}.sqlite"
    return FileResponse(path, filename=name, headers={"Cache-Control": "no-store"})


async def export(request: Request) -> Response:
    """Begins to write everything in open formats."""
    desk = desk_of(request)
    job = desk.jobs.begin(texts()["copies"]["exporting"], lambda job: _export(desk, job))
    return RedirectResponse(f"/jobs/{job.number}", 303)


def _export(desk: Desk, job: Job) -> Outcome:
    folder = desk.folder / f"open-{job.number}"

    def told(done: int, total: int, name: str) -> None:
        job.tell(name, done, total)

    with desk.library() as library:
        count = export_library(library, folder, told)
    with zipfile.ZipFile(_zip(desk, job.number), "w", zipfile.ZIP_DEFLATED) as out:
        for path in sorted(folder.rglob("*")):
            out.write(path, path.relative_to(folder))
    words = say(texts()["copies"]["exported"], n=count)
    return Outcome(words, f"/library/open/{job.number}.zip")


def exported(request: Request) -> Response:
    """What was written in open formats."""
    path = _zip(desk_of(request), request.path_params["number"])
    if not path.is_file():
        raise HTTPException(404)
    return FileResponse(path, filename="hymnal-open.zip", media_type="application/zip")


def _zip(desk: Desk, number: str) -> Path:
    return desk.folder / f"open-{Path(number).name}.zip"


async def restore(request: Request) -> Response:
    """Puts a copy in the library's place; what was there is kept beside it."""
    desk = desk_of(request)
    async with request.form(max_files=1) as form:
        paths = await put_down(files(form, "copy"), desk.folder)
    if not paths:
        return page(request, "problem.html", 422, text=texts()["copies"]["none_chosen"])
    await run_in_threadpool(restore_library, paths[0], None)
    return RedirectResponse("/library?said=restored", 303)


routes = [
    Route("/library", show),
    Route("/library/copy", copy),
    Route("/library/open", export, methods=["POST"]),
    Route("/library/open/{number}.zip", exported),
    Route("/library/restore", restore, methods=["POST"]),
]
