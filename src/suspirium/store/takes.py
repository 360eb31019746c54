"""Takes in the library: kept, listed, taken out; their files lie beside it by content."""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session, undefer

from suspirium.errors import LibraryError, OutputError
from suspirium.store.schema import TakeRow

_HASH = "sha256"


def takes(session: Session, digest: str | None = None) -> Sequence[TakeRow]:
    """The takes of a hymn, or all, the newest first."""
    chosen = select(TakeRow).order_by(TakeRow.made_at.desc(), TakeRow.id.desc())
    if digest is not None:
        chosen = chosen.where(TakeRow.digest == digest)
    return session.scalars(chosen).all()


def take_by_id(session: Session, number: int) -> TakeRow:
    """The take with this number, all of it; `LibraryError` if there is none."""
    options = (undefer(TakeRow.shown), undefer(TakeRow.pdf))
    row = session.get(TakeRow, number, options=options)
    if row is None:
        raise LibraryError(f"there is no take number {number} in the library")
    return row


def same_take(session: Session, digest: str, kept_as: str) -> TakeRow | None:
    """The take of this hymn that has this very content, if it was heard before."""
    chosen = select(TakeRow).where(TakeRow.digest == digest, TakeRow.kept_as == kept_as)
    return session.scalars(chosen).first()


def takes_folder(library: Path) -> Path:
    """Where the files of a library's takes lie."""
    return library.with_name(f"{library.stem}-takes")


def content_name(take: Path) -> str:
    """The name a take is kept under: the SHA-256 of its content and its ending."""
    with take.open("rb") as file:
        return f"{hashlib.file_digest(file, _HASH).hexdigest()}{take.suffix.lower()}"


def put_away(library: Path, take: Path) -> str:
    """Copies a take's file to the library's folder; its name there. Nothing is kept twice.

    Raises `OutputError` where it can't be written.
    """
    folder = takes_folder(library)
    try:
        name = content_name(take)
        if (folder / name).exists():
            return name
        folder.mkdir(parents=True, exist_ok=True)
        handle, fresh = tempfile.mkstemp(prefix=".", dir=folder)
        os.close(handle)
        try:
            shutil.copyfile(take, fresh)
            os.replace(fresh, folder / name)
        except BaseException:
            Path(fresh).unlink(missing_ok=True)
            raise
    except OSError as problem:
        raise OutputError(
            f"the take can't be kept in {folder}: {problem.strerror}; nothing else is lost"
        ) from None
    return name


def throw_away(session: Session, library: Path, kept_as: str) -> None:
    """Removes a take's file unless another take still has it."""
    session.flush()
    others = select(TakeRow.id).where(TakeRow.kept_as == kept_as)
    if kept_as and session.scalars(others).first() is None:
        (takes_folder(library) / kept_as).unlink(missing_ok=True)
