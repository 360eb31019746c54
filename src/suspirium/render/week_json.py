"""The week as JSON values; the form is published in ``docs/week.schema.json``."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from suspirium.practice.calendar import Calendar, Listed
from suspirium.practice.model import Break, Day, Expected, PracticeHymn
from suspirium.render.numbers import number

FORMAT = "suspirium-week/1"


def week_values(calendar: Calendar) -> dict[str, Any]:
    """The whole week as plain values, with the numbers of the model that it was made with."""
    week = calendar.week
    return {
        "format": FORMAT,
        "first_day": calendar.first.isoformat(),
        "service": calendar.service.isoformat(),
        "hymns": [
            _hymn(calendar, index, hymn, expected)
            for index, (hymn, expected) in enumerate(zip(week.hymns, week.expected, strict=True))
        ],
        "ready": round(week.ready, 4),
        "gap": round(week.gap, 5),
        "today": [_listed(calendar, one) for one in calendar.today],
        "days": [_day(calendar, day) for day in week.days],
        "traded": list(week.traded),
        "simpler": [
            {
                "hymn": one.hymn + 1,
                "what": one.what,
                "ready": round(one.ready, 4),
                "reason": one.reason,
            }
            for one in week.simpler
        ],
        "pace": round(calendar.pace, 3),
        "model": asdict(calendar.how),
    }


def today_values(calendar: Calendar) -> dict[str, Any]:
    """Today's tasks only."""
    return {
        "format": FORMAT,
        "date": calendar.first.isoformat(),
        "today": [_listed(calendar, one) for one in calendar.today],
    }


def _hymn(calendar: Calendar, index: int, hymn: PracticeHymn, expected: Expected) -> dict[str, Any]:
    named = calendar.hymns[index]
    return {
        "number": index + 1,
        "title": named.title,
        "tune": named.tune,
        "source": named.score,
        "way": hymn.way,
        "new": hymn.new,
        "goal_quarter_bpm": round(named.quarter_bpm, 2),
        "ready_now": round(expected.now, 4),
        "ready_without": round(expected.without, 4),
        "ready": round(expected.ready, 4),
        "passages": [
            {
                "lines": [passage.first_phrase, passage.last_phrase],
                "measures": [passage.first_measure, passage.last_measure],
                "start_q": number(passage.start_q),
                "end_q": number(passage.end_q),
                "seconds": round(passage.seconds, 2),
                "demand": {player: round(x, 3) for player, x in passage.demand.items()},
                "ready": round(ready, 4),
            }
            for passage, ready in zip(hymn.passages, expected.passages, strict=True)
        ],
    }


def _day(calendar: Calendar, day: Day) -> dict[str, Any]:
    numbers = iter(calendar.listed(day.day))
    return {
        "date": calendar.date_of(day.day).isoformat(),
        "minutes": day.minutes,
        "used": day.used_min,
        "steps": [
            {"kind": "break", "minutes": step.minutes}
            if isinstance(step, Break)
            else {"kind": "task", **_listed(calendar, next(numbers))}
            for step in day.steps
        ],
    }


def _listed(calendar: Calendar, one: Listed) -> dict[str, Any]:
    task = one.task
    passage = calendar.week.hymns[task.hymn].passages[task.passage]
    bpm = calendar.hymns[task.hymn].quarter_bpm
    return {
        "number": one.number,
        "done": one.done,
        "hymn": task.hymn + 1,
        "lines": [passage.first_phrase, passage.last_phrase],
        "part": list(task.part),
        "quarter_bpm": round(bpm * task.tempo_share, 2),
        "tempo_share": task.tempo_share,
        "until_share": task.tempo_until,
        "minutes": task.minutes,
        "repetitions": task.repetitions,
        "mind": list(task.mind),
    }
