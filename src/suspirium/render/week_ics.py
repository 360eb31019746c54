"""The week as an iCalendar file (RFC 5545), to import anywhere."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from icalendar import Calendar as Collection
from icalendar import Event

from suspirium.practice.calendar import Calendar
from suspirium.practice.model import Day
from suspirium.render.week_words import CAUTION, day_words, percent, task_words

_NAME = "-//suspirium//week of practice//EN"


def week_ics(calendar: Calendar, made_at: datetime, begin: time | None = None) -> bytes:
    """One event a day with its tasks, and one for the service.

    At `begin` local time, as long as the day's minutes; a whole-day entry if no time is
    given. `made_at` is in UTC. The names of the events stay the same, so that a week that
    is imported again replaces the one before.
    """
    found = Collection()
    found.add("prodid", _NAME)
    found.add("version", "2.0")
    for day in calendar.week.days:
        if day.tasks:
            found.add_component(_day(calendar, day, made_at, begin))
    service = _event(calendar.service, "service", "Service", made_at)
    service.add("dtstart", calendar.service)
    service.add("dtend", calendar.service + timedelta(days=1))
    pairs = zip(calendar.hymns, calendar.week.expected, strict=True)
    service.add("description", "\n".join(f"{h.title}: {percent(e.ready)}" for h, e in pairs))
    found.add_component(service)
    written: bytes = found.to_ical()
    return written


def _day(calendar: Calendar, day: Day, made_at: datetime, begin: time | None) -> Event:
    on = calendar.date_of(day.day)
    event = _event(on, "practice", f"Practise the hymns, {day.used_min} minutes", made_at)
    if begin is None:
        event.add("dtstart", on)
        event.add("dtend", on + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
    else:
        start = datetime.combine(on, begin)
        event.add("dtstart", start)
        event.add("dtend", start + timedelta(minutes=day.used_min))
    tasks = [f"{one.number}. {task_words(calendar, one)}" for one in calendar.listed(day.day)]
    event.add("description", "\n".join([f"{day_words(on)}:", *tasks, "", CAUTION]))
    return event


def _event(on: date, what: str, summary: str, made_at: datetime) -> Event:
    event = Event()
    event.add("uid", f"{on.isoformat()}-{what}@suspirium")
    event.add("dtstamp", made_at)
    event.add("summary", summary)
    return event
