"""The week as plain text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from textwrap import wrap
from typing import Any

from suspirium.practice.calendar import Calendar, Listed
from suspirium.practice.model import Break
from suspirium.render.textlines import WIDTH, item
from suspirium.render.week_words import (
    CAUTION,
    CLAIM,
    day_words,
    ladder_words,
    mind_words,
    part_words,
    percent,
    task_words,
)


def week_text(calendar: Calendar) -> str:
    """What the week brings, every day's tasks, what was traded and what is simpler."""
    rows = [*wrap(f"The service is on {day_words(calendar.service)}.", WIDTH), ""]
    rows += _expected(calendar)
    for sentence in calendar.week.traded:
        rows += ["", *wrap(sentence, WIDTH)]
    if calendar.week.simpler:
        rows += ["", "Simpler, in the same minutes:"]
        rows += _simpler(calendar)
    for day in _days(calendar):
        rows += ["", *_day(calendar, day)]
    rows += ["", *wrap(ladder_words(), WIDTH), "", *wrap(CLAIM, WIDTH), "", *wrap(CAUTION, WIDTH)]
    return "\n".join(rows) + "\n"


def today_text(calendar: Calendar) -> str:
    """Today's tasks with what to mind; those that are done say so."""
    if not calendar.today:
        return f"{day_words(calendar.first)}: nothing to practise.\n"
    rows = [f"{day_words(calendar.first)}: {_minutes(calendar.today)} minutes of tasks"]
    for one in calendar.today:
        rows += ["", *_task(calendar, one)]
        if not one.done and (mind := mind_words(one.task)):
            rows += [f"    {line}" for line in wrap(mind, WIDTH - 4)]
    return "\n".join([*rows, "", *wrap(ladder_words(), WIDTH), "", *wrap(CAUTION, WIDTH)]) + "\n"


def record_text(values: Mapping[str, Any]) -> str:
    """A hymn's running record, the newest line last."""
    played = values["last_played"] or "never"
    tune = f" ({values['tune']})" if values["tune"] else ""
    rows = [f"{values['title']}{tune}"]
    rows += [f"ready now {percent(values['ready'])}, last played {played}"]
    rows += [f"{line['on']}  {record_line(line)}" for line in values["lines"]]
    return "\n".join(rows) + "\n"


def record_line(line: Mapping[str, Any]) -> str:
    """One line of a running record in words."""
    if line["kind"] == "said":
        return f"you said: {line['level']}"
    if line["kind"] == "done":
        first, last = line["phrases"]
        lines = f"line {first}" if first == last else f"lines {first}–{last}"
        minutes = round(line["minutes"])
        return f"{lines}, {part_words(tuple(line['part']))}, {minutes} min, {line['went']}"
    if line["kind"] == "sung":
        return f"sung in the service: {line['note']}"
    heard = ", ".join(f"lines {a}–{b} {percent(x)}" for a, b, x in line["stretches"])
    return f"take {line['note']}: {heard}"


def _minutes(listed: tuple[Listed, ...]) -> int:
    return sum(one.task.minutes for one in listed)


def _expected(calendar: Calendar) -> Iterator[str]:
    yield f"{'':<{WIDTH - 30}}{'now':>10}{'without':>10}{'planned':>10}"
    for named, one in zip(calendar.hymns, calendar.week.expected, strict=True):
        title = named.title if len(named.title) < WIDTH - 31 else f"{named.title[: WIDTH - 33]}…"
        figures = "".join(f"{percent(x):>10}" for x in (one.now, one.without, one.ready))
        yield f"{title:<{WIDTH - 30}}{figures}"


def _simpler(calendar: Calendar) -> Iterator[str]:
    for one in calendar.week.simpler:
        title = calendar.hymns[one.hymn].title
        yield from item("", f"{title}: {one.what}, {percent(one.ready)}: {one.reason}.")


def _days(calendar: Calendar) -> list[int]:
    days = {day.day for day in calendar.week.days}
    return sorted(days | ({0} if calendar.today else set()))


def _day(calendar: Calendar, day: int) -> Iterator[str]:
    listed = calendar.listed(day)
    if not listed:
        yield f"{day_words(calendar.date_of(day))}: free"
        return
    breaks = sum(
        step.minutes
        for each in calendar.week.days
        if each.day == day
        for step in each.steps
        if isinstance(step, Break)
    )
    rest = f" and {breaks} of breaks" if breaks else ""
    yield f"{day_words(calendar.date_of(day))}: {_minutes(listed)} minutes{rest}"
    for one in listed:
        yield from _task(calendar, one)


def _task(calendar: Calendar, one: Listed) -> Iterator[str]:
    mark = "✓" if one.done else " "
    lines = wrap(task_words(calendar, one), WIDTH - 6)
    yield f"{mark}{one.number:>3}  {lines[0]}"
    yield from (f"      {line}" for line in lines[1:])
