"""The library: nothing lost, nothing twice, whatever happens to the process."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine

from suspirium.desk.hymnal import add_scores, score_files
from suspirium.errors import LibraryError
from suspirium.store import migrations
from suspirium.store.backup import back_up, restore
from suspirium.store.hymnal import Query, find, folded
from suspirium.store.library import open_library
from suspirium.store.schema import Base
from tests.conftest import PARISH


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "hymnal.sqlite"


def many(folder: Path, count: int) -> list[Path]:
    """Copies of the parish's hymns that differ in their titles."""
    scores = sorted(PARISH.glob("*.abc"))
    files = []
    for number in range(count):
        text = scores[number % len(scores)].read_text("utf-8")
        file = folder / f"{number:03}.abc"
        file.write_text(text.replace("T:", f"T:{number:03} ", 1), "utf-8")
        files.append(file)
    return files


def titles(path: Path) -> list[str]:
    with open_library(path) as library, library.session() as session:
        return [row.title for row in find(session, Query())]


def test_hymns_are_kept_once_and_a_bad_file_stops_nothing(path: Path, tmp_path: Path) -> None:
    files = [*many(tmp_path, 4), tmp_path / "bad.abc", tmp_path / "absent.abc"]
    (tmp_path / "bad.abc").write_text("X:1\nT:Nothing\nK:C\n")
    with open_library(path) as library:
        first = add_scores(library, files, processes=1)
        again = add_scores(library, files, processes=1)
    assert len(first.added) == 4
    assert [Path(name).name for name, _ in first.failed] == ["absent.abc", "bad.abc"]
    assert again.added == ()
    assert again.present == 4
    assert len(titles(path)) == 4


def test_many_files_are_read_by_several_processes(path: Path, tmp_path: Path) -> None:
    seen: list[str] = []
    with open_library(path) as library:
        done = add_scores(library, many(tmp_path, 12), seen.append, processes=2)
    assert len(done.added) == len(seen) == 12


def test_folders_are_searched_for_scores_only(tmp_path: Path) -> None:
    (tmp_path / "in" / "side").mkdir(parents=True)
    for name in ("a.abc", "in/b.musicxml", "in/side/c.mid", "in/notes.txt", ".hidden.abc"):
        (tmp_path / name).write_text("x")
    assert [file.name for file in score_files([tmp_path])] == ["a.abc", "b.musicxml", "c.mid"]


ADD = """
import sys
from pathlib import Path
from suspirium.desk.hymnal import add_scores
from suspirium.store.library import open_library
with open_library(Path(sys.argv[1])) as library:
    print("open", flush=True)
    for file in map(Path, sys.argv[2:]):
        add_scores(library, [file], processes=1)
        print(file.name, flush=True)
"""


def test_killed_at_any_moment_every_finished_addition_is_there(path: Path, tmp_path: Path) -> None:
    files = many(tmp_path, 60)
    chance = random.Random(3)
    told: set[str] = set()
    for attempt in range(1, 6):
        process = subprocess.Popen(
            [sys.executable, "-c", ADD, str(path), *map(str, files)],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert process.stdout is not None
        assert process.stdout.readline() == "open\n"
        time.sleep(attempt * chance.uniform(0.05, 1.2))  # a busy machine is slow
        process.send_signal(signal.SIGKILL)
        told |= set(process.stdout.read().split())
        process.wait()
        with closing(sqlite3.connect(path)) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            half = connection.execute(
                "SELECT count(*) FROM hymns WHERE id NOT IN (SELECT hymn_id FROM stanzas)"
            ).fetchone()
        assert half == (0,)
        there = {title[:3] for title in titles(path)}
        finished = {name[:3] for name in told if name.endswith(".abc") and len(name) == 7}
        assert finished <= there
    assert told
    with open_library(path) as library:
        add_scores(library, files)
    assert len(titles(path)) == 60


def test_killed_while_it_is_made_it_is_made_the_next_time(path: Path) -> None:
    process = subprocess.Popen([sys.executable, "-c", ADD, str(path)])
    time.sleep(0.5)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    assert titles(path) == []


def test_models_and_migrations_agree_and_the_newest_is_known(path: Path) -> None:
    with open_library(path):
        pass
    engine = create_engine(f"sqlite:///{path}")
    with engine.connect() as connection:
        context = MigrationContext.configure(connection)
        assert compare_metadata(context, Base.metadata) == []
        assert context.get_current_revision() == migrations.NEWEST
    engine.dispose()
    scripts = ScriptDirectory(str(Path(migrations.__file__).parent))
    assert scripts.get_current_head() == migrations.NEWEST


def test_a_file_that_is_no_library_is_refused_untouched(path: Path) -> None:
    path.write_bytes(b"not a database, but long enough to look like one" * 100)
    before = path.read_bytes()
    with pytest.raises(LibraryError, match="damaged or no library"), open_library(path):
        pass
    assert path.read_bytes() == before
    path.unlink()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE recipes (name)")
    with pytest.raises(LibraryError, match="not a library of hymns"), open_library(path):
        pass


def test_backup_and_restore_lose_nothing(path: Path, tmp_path: Path) -> None:
    files = many(tmp_path, 3)
    copy, aside = tmp_path / "copy.sqlite", tmp_path / "aside.sqlite"
    with open_library(path) as library:
        add_scores(library, files[:2], processes=1)
        back_up(path, copy)  # while it is open
        add_scores(library, files[2:], processes=1)
    assert restore(copy, path, aside) == aside
    assert len(titles(path)) == 2
    assert len(titles(aside)) == 3
    copy.write_bytes(copy.read_bytes()[:5000])
    with pytest.raises(LibraryError, match="damaged"):
        restore(copy, path, aside)
    assert len(titles(path)) == 2


def test_text_is_searched_without_accents_and_capitals() -> None:
    assert folded("Señor, o’er Überall’s — Höhe") == "senor oer uberalls hohe"
