"""What was done: tasks, takes and services into the running record, and the record told."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from suspirium.desk.listening import listen_to
from suspirium.desk.planning import plan_file
from suspirium.desk.week_asked import Asked, asked_from, done_event
from suspirium.desk.week_hymns import Studied, by_hymn, one_of, practised, studied_from
from suspirium.errors import PracticeError
from suspirium.practice.measured import heard_ready
from suspirium.practice.record import Heard, ready_now
from suspirium.practice.settings import learning
from suspirium.practice.values import task_from
from suspirium.store.library import Library
from suspirium.store.practice import (
    all_asked,
    asked_of,
    events_of,
    laid_out,
    latest_week,
    lay_out,
    note,
    rows_of,
)
from suspirium.store.schema import PracticeRow, WeekRow
from suspirium.tables import load


@dataclass(frozen=True, slots=True)
class TakeHeard:
    """What a take showed of a hymn: its readiness by stretch of lines."""

    title: str
    stretches: tuple[tuple[int, int, float], ...]


def week_row(session: Session, today: date) -> WeekRow:
    """The week under way, or the last one; `PracticeError` if there is none."""
    row = latest_week(session, today)
    if row is None:
        raise PracticeError("no week is planned; plan one with: suspirium week plan")
    return row


def mark_done(
    library: Library, today: date, numbers: Sequence[int], *, every: bool = False, went: str
) -> tuple[int, ...]:
    """Marks tasks of today's list as done (all with `every`); the numbers newly marked.

    `PracticeError` where today has no list yet or a number is not on it; then nothing is
    marked.
    """
    if went not in load("practice")["went"]:
        raise PracticeError(f"a task went clean or faulty, not {went!r}")
    with library.session() as session:
        row = week_row(session, today)
        shown = laid_out(row, today)
        if shown is None:
            raise PracticeError("today's tasks have not been shown yet; see: suspirium week today")
        tasks = [task_from(values) for values in shown["tasks"]]
        wanted = range(1, len(tasks) + 1) if every else numbers
        for number in wanted:
            if not 1 <= number <= len(tasks):
                raise PracticeError(f"today has {len(tasks)} tasks, there is no number {number}")
        fresh = tuple(sorted({*wanted} - {*shown["done"]}))
        asked = asked_from(asked_of(row))
        for number in fresh:
            task = tasks[number - 1]
            each = asked.hymns[task.hymn]
            event = done_event(each, task, today.toordinal(), went)
            note(session, each.named.digest, each.named.title, event)
        lay_out(row, today, {**shown, "done": sorted({*shown["done"], *fresh})})
        return fresh


def hear_take(library: Library, today: date, name: str, take: Path) -> TakeHeard:
    """Listens to a take of a hymn of the week and writes what it showed into the record."""
    with library.session() as session:
        asked = asked_from(asked_of(week_row(session, today)))
    each = _hymn(asked, name)
    plan = plan_file(Path(each.named.score), asked.settings)
    report = listen_to(plan, take)
    stretches = heard_ready(report, each.passages, each.named.quarter_bpm)
    if not stretches:
        raise PracticeError(
            f"{take.name} has only some voices of {each.named.title}, which does not tell how "
            "ready the whole is; mark the task as done, or play all of it"
        )
    with library.session() as session:
        event = Heard(today.toordinal(), stretches)
        note(session, each.named.digest, each.named.title, event, take.name)
    return TakeHeard(each.named.title, stretches)


def _hymn(asked: Asked, name: str) -> Studied:
    if not name and len(asked.hymns) == 1:
        return asked.hymns[0]
    if not name:
        raise PracticeError("say which hymn the take is of: --hymn NAME")
    return asked.hymns[one_of([each.named for each in asked.hymns], name)]


def tell_sung(library: Library, today: date, said: Mapping[str, str]) -> tuple[str, ...]:
    """How hymns of the week went in the service: well, fair or badly; their titles."""
    ready = load("practice")["sung"]
    for word in said.values():
        if word not in ready:
            raise PracticeError(f"a hymn went {', '.join(ready)}, not {word!r}")
    with library.session() as session:
        asked = asked_from(asked_of(week_row(session, today)))
        found = by_hymn([each.named for each in asked.hymns], said)
        for index, word in sorted(found.items()):
            each = asked.hymns[index]
            lines = (1, each.passages[-1].last_phrase, float(ready[word]))
            event = Heard(today.toordinal(), (lines,), sung=True)
            note(session, each.named.digest, each.named.title, event, word)
        return tuple(asked.hymns[index].named.title for index in sorted(found))


def studied_before(session: Session) -> list[Studied]:
    """Every hymn that was ever in a week, as it was last taken apart."""
    found: dict[str, Studied] = {}
    for values in all_asked(session):
        for hymn in values.get("hymns", ()):
            if hymn["digest"] not in found:
                found[hymn["digest"]] = studied_from(hymn)
    return list(found.values())


def record_of(library: Library, name: str, today: date) -> dict[str, Any]:
    """The running record of a hymn: how ready it is now, when last played, and every line."""
    with library.session() as session:
        known = studied_before(session)
        if not known:
            raise PracticeError("no hymn has a record yet; plan a week with: suspirium week plan")
        return _record(session, known[one_of([one.named for one in known], name)], today)


def record_by_digest(library: Library, digest: str, today: date) -> dict[str, Any] | None:
    """The same of the hymn with this score; None if it was never in a week."""
    with library.session() as session:
        for each in studied_before(session):
            if each.named.digest == digest:
                return _record(session, each, today)
    return None


def _record(session: Session, each: Studied, today: date) -> dict[str, Any]:
    events = events_of(session, each.named.digest)
    hymn = practised(each, events, today.toordinal(), learning())
    rows = [row for row in rows_of(session, each.named.digest) if row.on <= today]
    played = [row.on for row in rows if row.kind != "said"]
    return {
        "title": each.named.title,
        "tune": each.named.tune,
        "digest": each.named.digest,
        "ready": round(ready_now(hymn, learning()), 3),
        "last_played": max(played).isoformat() if played else None,
        "minutes": sum(json.loads(row.details).get("minutes", 0) for row in rows),
        "lines": [_line(row) for row in rows],
    }


def _line(row: PracticeRow) -> dict[str, Any]:
    return {"on": row.on.isoformat(), "kind": row.kind, **json.loads(row.details)}
