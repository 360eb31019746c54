"""What a form brings: its fields as text, its files in a folder of their own."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path, PurePosixPath, PureWindowsPath

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request


def fields(form: FormData) -> dict[str, str]:
    """The text fields; of a field sent twice the last."""
    return {name: value for name, value in form.multi_items() if isinstance(value, str)}


async def typed(request: Request) -> dict[str, str]:
    """The text fields of the form that a request brings."""
    async with request.form() as form:
        return fields(form)


def files(form: FormData, name: str) -> list[UploadFile]:
    """The files of a field that were really chosen."""
    return [one for one in form.getlist(name) if isinstance(one, UploadFile) and one.filename]


def safe_name(given: str, default: str) -> str:
    """A file's own name without any folder: what a browser sends is not trusted."""
    name = PurePosixPath(PureWindowsPath(given).name).name
    kept = "".join(sign for sign in name if sign.isprintable() and sign not in '<>:"|?*')
    return kept.lstrip(".")[-120:] or default


async def put_down(uploads: list[UploadFile], folder: Path) -> list[Path]:
    """Writes files below a new folder in `folder`, each in a folder of its own."""
    place = Path(tempfile.mkdtemp(dir=folder))
    done = []
    for index, upload in enumerate(uploads):
        target = place / str(index) / safe_name(upload.filename or "", "file")
        target.parent.mkdir()
        with target.open("wb") as out:
            await upload.seek(0)
            shutil.copyfileobj(upload.file, out)
        done.append(target)
    return done
