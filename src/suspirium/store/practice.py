"""Weeks of practice and the running record, kept in the library."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from suspirium.practice.record import Done, Event, Heard, Said
from suspirium.practice.values import part_from
from suspirium.store.schema import PracticeRow, WeekRow


def keep_week(session: Session, service_on: date, asked: Mapping[str, Any], now: datetime) -> int:
    """Keeps a week as it was asked for; its number."""
    text = json.dumps(asked, ensure_ascii=False)
    row = WeekRow(service_on=service_on, made_at=now, asked=text, laid_out="{}")
    session.add(row)
    session.flush()
    return row.id


def current_week(session: Session, today: date) -> WeekRow | None:
    """The week last made of those whose service is not over; None if there is none."""
    chosen = select(WeekRow).where(WeekRow.service_on >= today).order_by(WeekRow.id.desc())
    return session.scalars(chosen).first()


def latest_week(session: Session, today: date) -> WeekRow | None:
    """The week that is under way, else the one whose service was last."""
    running = current_week(session, today)
    last = select(WeekRow).order_by(WeekRow.service_on.desc(), WeekRow.id.desc())
    return running or session.scalars(last).first()


def asked_of(row: WeekRow) -> dict[str, Any]:
    """What the week was asked for with."""
    values: dict[str, Any] = json.loads(row.asked)
    return values


def laid_out(row: WeekRow, day: date) -> dict[str, Any] | None:
    """The day's tasks as they were first shown, and which are done; None if it never was."""
    values: dict[str, Any] | None = json.loads(row.laid_out).get(day.isoformat())
    return values


def lay_out(row: WeekRow, day: date, values: Mapping[str, Any]) -> None:
    """Keeps the day's tasks, so that their numbers stay."""
    row.laid_out = json.dumps(json.loads(row.laid_out) | {day.isoformat(): values})


def note(session: Session, digest: str, title: str, event: Event, details: str = "") -> None:
    """Writes a line into the running record of a hymn; `details` is a word of one's own."""
    on = date.fromordinal(event.day)
    kind, values = _values(event)
    if details:
        values["note"] = details
    text = json.dumps(values, ensure_ascii=False)
    session.add(PracticeRow(digest=digest, title=title, on=on, kind=kind, details=text))


def _values(event: Event) -> tuple[str, dict[str, Any]]:
    if isinstance(event, Said):
        return "said", {"level": event.level}
    if isinstance(event, Heard):
        return "sung" if event.sung else "take", {"stretches": [list(s) for s in event.stretches]}
    return "done", {
        "phrases": [event.first_phrase, event.last_phrase],
        "part": list(event.part),
        "minutes": event.minutes,
        "went": event.went,
    }


def rows_of(session: Session, digest: str) -> Sequence[PracticeRow]:
    """The lines of a hymn's record, the oldest first."""
    chosen = select(PracticeRow).where(PracticeRow.digest == digest)
    return session.scalars(chosen.order_by(PracticeRow.on, PracticeRow.id)).all()


def digests(session: Session) -> dict[str, str]:
    """All hymns with a record: digest and the title last written."""
    rows = session.scalars(select(PracticeRow).order_by(PracticeRow.id))
    return {row.digest: row.title for row in rows}


def events_of(session: Session, digest: str) -> list[Event]:
    """The record of a hymn as events of the model."""
    return [_event(row) for row in rows_of(session, digest)]


def _event(row: PracticeRow) -> Event:
    values = json.loads(row.details)
    day = row.on.toordinal()
    if row.kind == "said":
        return Said(day, values["level"])
    if row.kind == "done":
        first, last = values["phrases"]
        part = part_from(values["part"])
        return Done(day, first, last, part, values["minutes"], values["went"])
    stretches = tuple((first, last, ready) for first, last, ready in values["stretches"])
    return Heard(day, stretches, row.kind == "sung")


def all_asked(session: Session) -> list[dict[str, Any]]:
    """What every week was asked with, the newest first."""
    rows = session.scalars(select(WeekRow).order_by(WeekRow.id.desc())).all()
    return [asked_of(row) for row in rows]
