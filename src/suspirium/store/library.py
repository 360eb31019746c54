"""The library: one SQLite file, opened with its migrations done."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event, inspect
from sqlalchemy.exc import DatabaseError, OperationalError
from sqlalchemy.orm import Session

from suspirium.errors import LibraryError
from suspirium.store import migrations
from suspirium.store.migrations import NEWEST

BUSY_S = 30  # how long one process waits for another that is writing
APPLICATION = 0x53757370  # "Susp": SQLite's application_id, tells our files from others'


class Library:
    """A library of hymns at a path; `session` gives transactions on it."""

    def __init__(self, path: Path, engine: Engine) -> None:
        self.path = path
        self._engine = engine

    @contextmanager
    def session(self) -> Iterator[Session]:
        """One transaction: all of it is kept, or after an error nothing."""
        try:
            with Session(self._engine) as session, session.begin():
                yield session
        except OperationalError as problem:
            raise LibraryError(_said(self.path, problem)) from None

    def close(self) -> None:
        """Gives the file free."""
        self._engine.dispose()


@contextmanager
def open_library(path: Path) -> Iterator[Library]:
    """The library at `path`, made if there is none; `LibraryError` if it can't be opened."""
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": BUSY_S})
    event.listen(engine, "connect", _prepare)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with engine.connect() as connection:
            _migrate(connection)
    except OSError as problem:
        raise LibraryError(f"the library {path} can't be made: {problem.strerror}") from None
    except (DatabaseError, sqlite3.DatabaseError) as problem:
        raise LibraryError(_said(path, problem)) from None
    library = Library(path, engine)
    try:
        yield library
    finally:
        library.close()


def _prepare(connection: sqlite3.Connection, _: object) -> None:
    # With a write-ahead log readers never wait for a writer; FULL puts each finished
    # addition on the disk before it is told as done.
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {pragma}")


def _migrate(connection: Connection) -> None:
    """Brings the file to the newest version; a foreign database is refused untouched."""
    tables = inspect(connection).get_table_names()
    known = connection.exec_driver_sql("PRAGMA application_id").scalar()
    if tables and known != APPLICATION:
        raise LibraryError("the file is a database, but not a library of hymns; name another")
    if "alembic_version" in tables:
        version = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
        if version == NEWEST:
            return
        if version is not None and version > NEWEST:
            raise LibraryError("the library was made by a newer version of this program")
    from alembic import command
    from alembic.config import Config

    connection.rollback()
    config = Config()
    config.set_main_option("script_location", str(Path(migrations.__file__).parent))
    config.attributes["connection"] = connection
    connection.exec_driver_sql("BEGIN IMMEDIATE")
    connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION}")
    command.upgrade(config, "head")
    connection.commit()


def _said(path: Path, problem: Exception) -> str:
    text = str(problem)
    if "locked" in text:
        return f"the library {path} is in use by another program; close it and try again"
    if "not a database" in text or "malformed" in text:
        return f"{path} is damaged or no library; restore it from a backup"
    if "disk is full" in text or "disk I/O" in text:
        return f"the library {path} can't be written: the disk is full or failing"
    return f"the library {path} can't be used: {text.splitlines()[0]}"
