"""Reading and writing files; nothing is ever half written."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from suspirium.errors import OutputError, ScoreError

# What our files are called, before any number: only folders of these are replaced.
_STEMS = (
    "plan",
    "leading",
    "marked",
    "words",
    "technique",
    "parts",
    "take",
    "week",
    "task",
    "service",
    "bench",
    "choir",
    "hymn",
    "stops",
)


def read_bytes(path: Path) -> bytes:
    """The file's content; `ScoreError` says in words why it can't be read."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise ScoreError(f"there is no file {path}; check its name") from None
    except IsADirectoryError:
        raise ScoreError(f"{path} is a folder; name the score inside it") from None
    except OSError as problem:
        raise ScoreError(f"{path} can't be read: {problem.strerror}") from None


def write_whole(path: Path, content: bytes, mode: int = 0o644) -> None:
    """Writes beside the target, then renames: the old file stays until the new is whole.

    `mode` says who may read it, as POSIX permission bits.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            os.chmod(name, mode)
            os.replace(name, path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as problem:
        raise OutputError(f"{path} can't be written: {problem.strerror}") from None


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Puts `files` in place as the whole content of `folder`, replacing what was there.

    A folder that holds anything not ours (a file we never write) is left alone and
    reported, so that nothing of the organist's is lost.
    """
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", dir=folder.parent))
        try:
            for name, content in files.items():
                (fresh / name).write_bytes(content)
            os.chmod(fresh, 0o755)
            _swap(fresh, folder)
        except BaseException:
            shutil.rmtree(fresh, ignore_errors=True)
            raise
    except OSError as problem:
        raise OutputError(f"{folder} can't be written: {problem.strerror}") from None


def _swap(fresh: Path, folder: Path) -> None:
    if not folder.exists():
        os.rename(fresh, folder)
        return
    foreign = [entry.name for entry in folder.iterdir() if not _ours(entry)]
    if foreign:
        raise OutputError(
            f"{folder} holds {foreign[0]}, which is not from here; choose another --out folder"
        )
    aside = Path(tempfile.mkdtemp(prefix=f".{folder.name}.old.", dir=folder.parent))
    os.rename(folder, aside / "was")
    os.rename(fresh, folder)
    shutil.rmtree(aside, ignore_errors=True)


def _ours(entry: Path) -> bool:
    stem = entry.name.split(".")[0].split("-")[0]
    return entry.is_file() and stem in _STEMS
