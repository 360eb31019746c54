"""Weeks and the running record in the library; older libraries are brought up to date."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest
from sqlalchemy import create_engine, inspect

from suspirium.practice.record import Done, Event, Heard, Said
from suspirium.store.hymnal import Query, find
from suspirium.store.library import open_library
from suspirium.store.practice import (
    asked_of,
    current_week,
    digests,
    events_of,
    keep_week,
    laid_out,
    latest_week,
    lay_out,
    note,
)

SUNDAY = date(2026, 12, 6)
MONDAY = date(2026, 11, 30)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "hymnal.sqlite"


def test_a_record_comes_back_as_it_was_written(path: Path) -> None:
    day = MONDAY.toordinal()
    events: list[Event] = [
        Said(day, "seen"),
        Done(day, 1, 2, ("right", "pedal"), 4, "faulty"),
        Heard(day + 1, ((1, 2, 0.75), (3, 4, 0.5))),
        Heard(day + 6, ((1, 4, 0.95),), sung=True),
    ]
    with open_library(path) as library:
        with library.session() as session:
            for event in events:
                note(session, "d1", "The lamps are lit", event)
            note(session, "d2", "Come, you rivers", Said(day, "new"))
        with library.session() as session:
            assert events_of(session, "d1") == events
            assert digests(session) == {"d1": "The lamps are lit", "d2": "Come, you rivers"}


def test_the_week_last_made_is_the_current_one_until_its_service(path: Path) -> None:
    now = datetime(2026, 11, 30, 9)
    with open_library(path) as library, library.session() as session:
        assert latest_week(session, MONDAY) is None
        keep_week(session, SUNDAY, {"a": 1}, now)
        keep_week(session, SUNDAY, {"a": 2}, now)
        row = current_week(session, SUNDAY)
        assert row is not None
        assert asked_of(row) == {"a": 2}
        assert current_week(session, date(2026, 12, 7)) is None
        assert latest_week(session, date(2026, 12, 7)) is row
        assert laid_out(row, MONDAY) is None
        lay_out(row, MONDAY, {"tasks": [1], "done": []})
        lay_out(row, SUNDAY, {"tasks": [], "done": []})
        assert laid_out(row, MONDAY) == {"tasks": [1], "done": []}


def test_a_library_of_the_first_version_is_brought_up_to_date(path: Path) -> None:
    from alembic import command
    from alembic.config import Config

    from suspirium.store import migrations
    from suspirium.store.library import APPLICATION

    engine = create_engine(f"sqlite:///{path}")
    with engine.connect() as connection:
        config = Config()
        config.set_main_option("script_location", str(Path(migrations.__file__).parent))
        config.attributes["connection"] = connection
        connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION}")
        command.upgrade(config, "0001")
        connection.commit()
        assert "practice" not in inspect(connection).get_table_names()
    engine.dispose()
    with open_library(path) as library, library.session() as session:
        assert digests(session) == {}
        assert find(session, Query()) == []
