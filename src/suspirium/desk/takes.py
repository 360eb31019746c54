"""Takes of the library's hymns: heard, kept with what they showed, looked back on."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from suspirium.desk.finding import found_in
from suspirium.desk.listening import listen_to
from suspirium.desk.planning import Settings, plan_found
from suspirium.desk.week_asked import asked_from
from suspirium.practice.measured import heard_ready
from suspirium.practice.record import Heard
from suspirium.render.keys_midi import keys_midi
from suspirium.render.screen import coloured
from suspirium.render.take_json import take_values
from suspirium.store import write_whole
from suspirium.store.hymnal import digest_of
from suspirium.store.library import Library
from suspirium.store.practice import asked_of, latest_week, note
from suspirium.store.schema import TakeRow
from suspirium.store.takes import take_by_id, takes
from suspirium.take.report import TakeReport

Progress = Callable[[str], None]


def put_down_keys(events: Sequence[Sequence[float]], path: Path) -> None:
    """Writes keys played into a page as a MIDI file; `TakeError` where there are none."""
    write_whole(path, keys_midi(events))


def hear(
    library: Library,
    number: int,
    take: Path,
    settings: Settings,
    now: datetime,
    progress: Progress = lambda step: None,
) -> int:
    """Listens to a take of a hymn and keeps what it showed; its number among the takes.

    If the hymn is in the week under way, its running record learns from the take, too.
    `progress` is told each step before it begins, the last one before anything is kept.
    """
    from suspirium.render.take_report import report_pdf, report_values  # plots are slow to load

    progress("planning")
    found = found_in(library, number)
    plan = plan_found(found, settings)
    progress("listening")
    report = listen_to(plan, take)
    progress("drawing")
    values = report_values(report, take.name)
    values |= {name: coloured(values[name]) for name in ("pulse", "lifts", "gaps")}
    row = TakeRow(
        digest=digest_of(found.score),
        title=plan.hymn.title or found.path.stem,
        made_at=now,
        name=take.name,
        report=json.dumps(take_values(report, take.name), ensure_ascii=False),
        shown=json.dumps(values, ensure_ascii=False),
        pdf=report_pdf(report, take.name),
    )
    progress("keeping")
    with library.session() as session:
        session.add(row)
        _into_record(session, row, report, now)
        session.flush()
        return row.id


def _into_record(session: Session, row: TakeRow, report: TakeReport, now: datetime) -> None:
    week = latest_week(session, now.date())
    if week is None or week.service_on < now.date():
        return
    for each in asked_from(asked_of(week)).hymns:
        if each.named.digest == row.digest:
            stretches = heard_ready(report, each.passages, each.named.quarter_bpm)
            event = Heard(now.toordinal(), stretches)
            note(session, row.digest, row.title, event, row.name)


def list_takes(library: Library, number: int | None = None) -> list[dict[str, Any]]:
    """The takes of a hymn, or all, the newest first: when, of what, and the first advice."""
    digest = None if number is None else digest_of(found_in(library, number).score)
    with library.session() as session:
        return [_listed(row) for row in takes(session, digest)]


def _listed(row: TakeRow) -> dict[str, Any]:
    report = json.loads(row.report)
    return {
        "number": row.id,
        "title": row.title,
        "made_at": row.made_at,
        "name": row.name,
        "advice": report["advice"],
        "tempos": [tempo["quarter_bpm"] for tempo in report["tempo"]["stanzas"]],
    }


def show_take(library: Library, number: int) -> dict[str, Any]:
    """All that a take's page shows; `LibraryError` if there is none of this number."""
    with library.session() as session:
        row = take_by_id(session, number)
        return {"number": row.id, "made_at": row.made_at, **json.loads(row.shown)}


def take_pdf(library: Library, number: int) -> bytes:
    """The report of a take on paper."""
    with library.session() as session:
        return take_by_id(session, number).pdf


def remove_take(library: Library, number: int) -> None:
    """Takes a take out of the library; the running record stays."""
    with library.session() as session:
        session.delete(take_by_id(session, number))
