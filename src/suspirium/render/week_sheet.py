"""The week on paper: what each day holds, boxes to tick, and the caution."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from suspirium.practice.calendar import Calendar, Listed
from suspirium.practice.model import Break, Day
from suspirium.render.typeset import set_document
from suspirium.render.typography import curly_prose
from suspirium.render.week_words import (
    CAUTION,
    CLAIM,
    day_words,
    ladder_words,
    part_words,
    passage_words,
    percent,
    short_tempo,
)


def week_pdf(calendar: Calendar) -> bytes:
    """The sheet as PDF, a page or more."""
    data: dict[str, Any] = {
        "title": f"Practice to {day_words(calendar.service)}",
        "hymns": list(_hymns(calendar)),
        "days": [_day(calendar, day) for day in calendar.week.days if day.tasks],
        "notes": [curly_prose(text) for text in calendar.week.traded],
        "simpler": list(_simpler(calendar)),
        "ladder": ladder_words(),
        "claim": CLAIM,
        "caution": CAUTION,
    }
    return set_document("week.typ", data)[0]


def _hymns(calendar: Calendar) -> Iterator[dict[str, Any]]:
    pairs = zip(calendar.hymns, calendar.week.expected, strict=True)
    for number, (named, one) in enumerate(pairs, 1):
        yield {
            "number": str(number),
            "title": curly_prose(named.title),
            "tune": curly_prose(named.tune),
            "now": one.now,
            "ready": one.ready,
            "now_words": percent(one.now),
            "ready_words": percent(one.ready),
            "passages": [
                {"name": passage.name, "mind": curly_prose(passage_words(passage))}
                for passage in calendar.week.hymns[number - 1].passages
            ],
        }


def _simpler(calendar: Calendar) -> Iterator[dict[str, str]]:
    for one in calendar.week.simpler:
        title = curly_prose(calendar.hymns[one.hymn].title)
        text = f"{one.what}, {percent(one.ready)}: {one.reason}."
        yield {"title": title, "text": curly_prose(text)}


def _day(calendar: Calendar, day: Day) -> dict[str, Any]:
    numbers = iter(calendar.listed(day.day))
    return {
        "name": day_words(calendar.date_of(day.day)),
        "minutes": f"{day.used_min} of {day.minutes} minutes",
        "steps": [
            {"rest": f"Break, {step.minutes} minutes: leave the bench"}
            if isinstance(step, Break)
            else _task(calendar, next(numbers))
            for step in day.steps
        ],
    }


def _task(calendar: Calendar, one: Listed) -> dict[str, Any]:
    task = one.task
    hymn, named = calendar.week.hymns[task.hymn], calendar.hymns[task.hymn]
    return {
        "number": str(one.number),
        "done": one.done,
        "hymn": curly_prose(named.title),
        "lines": hymn.passages[task.passage].name,
        "part": part_words(task.part, hymn.way),
        "tempo": short_tempo(task, named),
        "minutes": f"{task.minutes} min",
        "times": f"about {task.repetitions}×",
    }
