"""The week of practice: planned, shown, done, and planned anew from what was done."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from suspirium.desk.planning import Settings
from suspirium.desk.week_asked import Asked, asked_from, asked_text, done_event
from suspirium.desk.week_hymns import (
    Studied,
    Who,
    by_hymn,
    practised,
    study,
    with_manuals,
)
from suspirium.desk.week_record import studied_before, week_row
from suspirium.errors import PracticeError
from suspirium.practice.calendar import Calendar, Listed
from suspirium.practice.known import LEVELS
from suspirium.practice.model import Instead, PracticeHymn, Week
from suspirium.practice.record import Done, Event, Said, pace_of, ready_now
from suspirium.practice.settings import Learning, learning, moved
from suspirium.practice.simpler import weak
from suspirium.practice.values import task_from, task_values
from suspirium.practice.week import Solved, solve_week, whole_week
from suspirium.room import read_room
from suspirium.store.library import Library
from suspirium.store.practice import (
    asked_of,
    events_of,
    keep_week,
    laid_out,
    lay_out,
    note,
)
from suspirium.store.schema import WeekRow
from suspirium.tables import load

_LONGEST = 35  # days ahead that a week may reach
_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def plan_for(
    library: Library,
    scores: Sequence[Path],
    service: date,
    minutes: Mapping[date, int],
    today: date,
    *,
    known: Mapping[str, str] | None = None,
    ways: Mapping[str, str] | None = None,
    who: Who | None = None,
    room: str = "parish",
    singers: int | None = None,
    sliders: Mapping[str, float] | None = None,
    progress: Callable[[str, int, int], None] = lambda name, done, total: None,
) -> Calendar:
    """Plans the week of these hymns and keeps it, with what was said to be known and the
    player's own numbers of the model.

    Raises `SuspiriumError` in plain words; then nothing is kept.
    """
    if not today < service <= today + timedelta(days=_LONGEST):
        raise PracticeError(f"the service must be after {today}, within {_LONGEST} days")
    who = who or Who()
    who.playing()  # says what is wrong before the scores are read
    moved(learning(who.level), sliders or {})
    settings = Settings(read_room(room), singers)
    hymns = study(scores, ways or {}, settings, who, progress)
    progress("", len(scores), len(scores))
    asked = Asked(hymns, minutes, service, who, room, singers, sliders or {})
    names = [each.named for each in asked.hymns]
    said = by_hymn(names, known or {})
    for level in said.values():
        if level not in LEVELS:
            raise PracticeError(f"a hymn is {', '.join(LEVELS)}, not {level!r}")
    with library.session() as session:
        for index, level in sorted(said.items()):
            one = names[index]
            note(session, one.digest, one.title, Said(today.toordinal(), level))
        number = keep_week(session, service, {}, datetime.now(UTC).replace(tzinfo=None))
        row = session.get_one(WeekRow, number)
        calendar, asked = _calendar(session, row, asked, today)
        row.asked = asked_text(asked)
        return calendar


def the_week(library: Library, today: date) -> Calendar:
    """The week under way, planned anew from today by all that was done; what was shown for
    today stays as it is."""
    with library.session() as session:
        row = week_row(session, today)
        asked = asked_from(asked_of(row))
        if today > asked.service:
            raise PracticeError(
                f"the service of {asked.service} is over: tell how it went with week done --sung, "
                "and plan the next week"
            )
        calendar, fuller = _calendar(session, row, asked, today)
        if fuller != asked:
            row.asked = asked_text(fuller)
        return calendar


def _calendar(session: Session, row: WeekRow, asked: Asked, today: date) -> tuple[Calendar, Asked]:
    """The week from today, and what it was asked with, more of which may be known now."""
    events = {each.named.digest: events_of(session, each.named.digest) for each in asked.hymns}
    now = today.toordinal()
    how = _how(asked, events, now)
    shown = laid_out(row, today)
    listed = _listed(shown) if shown is not None else None
    ahead = _with_undone(asked, events, listed or (), now)
    minutes = _minutes(asked, today, events, shown is not None)
    week, asked = _planned(session, asked, ahead, minutes, today, how)
    if listed is None:
        tasks = next((day.tasks for day in week.days if day.day == 0), ())
        listed = tuple(Listed(number, task) for number, task in enumerate(tasks, 1))
        lay_out(row, today, {"tasks": [task_values(t) for t in tasks], "done": []})
    else:
        week = _really_now(week, asked, events, now, how)
    calendar = Calendar(
        week=week,
        first=today,
        service=asked.service,
        hymns=tuple(each.named for each in asked.hymns),
        today=listed,
        how=how,
        pace=how.pace / learning(asked.who.level).pace,
    )
    return calendar, asked


def _how(asked: Asked, events: Mapping[str, Sequence[Event]], now: int) -> Learning:
    """How this player learns, by all takes of these hymns."""
    base = moved(learning(asked.who.level), asked.sliders)
    records = [
        (each.passages, each.way, events[each.named.digest])
        for each in asked.hymns
        if each.way == "all"
    ]
    return moved(learning(asked.who.level, pace_of(records, now, base)), asked.sliders)


def _listed(shown: Mapping[str, Any]) -> tuple[Listed, ...]:
    done = set(shown["done"])
    tasks = [task_from(values) for values in shown["tasks"]]
    return tuple(Listed(number, task, number in done) for number, task in enumerate(tasks, 1))


def _with_undone(
    asked: Asked, events: Mapping[str, list[Event]], listed: Sequence[Listed], now: int
) -> dict[str, list[Event]]:
    """The record as it will be this evening, if what is still on today's list is done."""
    ahead = {digest: list(own) for digest, own in events.items()}
    for one in listed:
        if not one.done:
            each = asked.hymns[one.task.hymn]
            ahead[each.named.digest].append(done_event(each, one.task, now))
    return ahead


def _minutes(
    asked: Asked, today: date, events: Mapping[str, Sequence[Event]], begun: bool
) -> dict[int, int]:
    """Minutes by day from today; today's are those that are left, none if its list is made."""
    minutes = {
        (day - today).days: most
        for day, most in asked.minutes.items()
        if today <= day < asked.service
    }
    if begun:
        minutes.pop(0, None)
    elif 0 in minutes:
        done = sum(
            event.minutes
            for own in events.values()
            for event in own
            if isinstance(event, Done) and event.day == today.toordinal()
        )
        minutes[0] = max(0, minutes[0] - round(done))
    return minutes


def _planned(
    session: Session,
    asked: Asked,
    events: Mapping[str, Sequence[Event]],
    minutes: Mapping[int, int],
    today: date,
    how: Learning,
) -> tuple[Week, Asked]:
    """The week; where a hymn will not be ready, hands alone are looked at more closely."""
    now, ahead = today.toordinal(), (asked.service - today).days
    instead = _instead(session, asked, how)
    best: Solved | None = None
    while True:
        hymns = [_practised(each, events, now, how) for each in asked.hymns]
        best = best or solve_week(hymns, minutes, ahead, how)
        short = set(weak(best.expected))
        fuller = tuple(
            with_manuals(each, asked.settings, asked.who) if index in short else each
            for index, each in enumerate(asked.hymns)
        )
        if fuller == asked.hymns:
            return whole_week(best, hymns, minutes, ahead, how, instead), asked
        pairs = zip(fuller, asked.hymns, strict=True)
        if any(new != old and new.way != "all" for new, old in pairs):
            best = None  # what hands alone ask changes how that hymn itself is practised
        asked = replace(asked, hymns=fuller)


def _practised(
    each: Studied, events: Mapping[str, Sequence[Event]], now: int, how: Learning
) -> PracticeHymn:
    return practised(each, events[each.named.digest], now, how)


def _really_now(
    week: Week, asked: Asked, events: Mapping[str, Sequence[Event]], now: int, how: Learning
) -> Week:
    """The week with the readiness of this very hour, without what is still to be done."""
    ready = [ready_now(_practised(each, events, now, how), how) for each in asked.hymns]
    pairs = zip(week.expected, ready, strict=True)
    return replace(week, expected=tuple(replace(one, now=value) for one, value in pairs))


def _instead(session: Session, asked: Asked, how: Learning) -> list[Instead]:
    """Hymns of the record, not in this service, that will be secure on the day as they are."""
    table = load("practice")
    own = {each.named.digest for each in asked.hymns}
    day = asked.service.toordinal()
    found = []
    for each in studied_before(session):
        if each.named.digest not in own:
            hymn = practised(each, events_of(session, each.named.digest), day, how)
            if (ready := ready_now(hymn, how)) >= table.number("ready.secure"):
                found.append(Instead(each.named.title, ready))
    found.sort(key=lambda one: (-one.ready, one.title))
    return found[: int(table["simpler.most_instead"])]
