"""Backing the library up to one file, and bringing one back."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

from suspirium.errors import LibraryError
from suspirium.store.library import APPLICATION


def back_up(library: Path, target: Path) -> None:
    """Copies the library, in use or not, into one file; written beside, then renamed."""
    if not library.exists():
        raise LibraryError(f"there is no library {library} to back up")
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
        os.close(handle)
        try:
            with (
                closing(sqlite3.connect(library)) as source,
                closing(sqlite3.connect(name)) as copy,
            ):
                source.backup(copy)
                copy.execute("PRAGMA journal_mode=DELETE")
            os.replace(name, target)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except (OSError, sqlite3.Error) as problem:
        raise LibraryError(f"the backup {target} can't be written: {problem}") from None


def _copy(source: Path, target: Path) -> None:
    """A consistent copy, whoever is writing (SQLite's own backup), in one file."""
    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(target)) as new:
        old.backup(new)
        new.execute("PRAGMA journal_mode=DELETE")


def restore(backup: Path, library: Path, aside: Path) -> Path | None:
    """Puts `backup` in the library's place; what was there is kept at `aside`, which is given
    back (None if there was none). `LibraryError` if the backup is not whole."""
    check(backup)
    library.parent.mkdir(parents=True, exist_ok=True)
    kept = None
    if library.exists():
        back_up(library, aside)
        kept = aside
    handle, name = tempfile.mkstemp(prefix=f".{library.name}.", dir=library.parent)
    os.close(handle)
    try:
        _copy(backup, Path(name))
        os.replace(name, library)
        for ending in ("-wal", "-shm"):  # these belong to the file that was replaced
            library.with_name(library.name + ending).unlink(missing_ok=True)
    except (OSError, sqlite3.Error) as problem:
        Path(name).unlink(missing_ok=True)
        raise LibraryError(f"the library {library} can't be written: {problem}") from None
    return kept


def check(path: Path) -> None:
    """`LibraryError` unless the file is a whole library."""
    if not path.is_file():
        raise LibraryError(f"there is no backup {path}")
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
            mark = connection.execute("PRAGMA application_id").fetchone()[0]
            whole = connection.execute("PRAGMA integrity_check").fetchone()[0]
    except sqlite3.Error:
        raise LibraryError(f"{path} is no backup of a library, or it is damaged") from None
    if mark != APPLICATION or whole != "ok":
        raise LibraryError(f"{path} is no backup of a library, or it is damaged")
