"""The files of a week: the sheet, and for each of today's tasks its page and recording."""

from __future__ import annotations

import json
from datetime import UTC, datetime, time
from pathlib import Path

from suspirium.desk.planning import plan_file
from suspirium.desk.week_asked import Asked, asked_from
from suspirium.desk.week_hymns import study_technique
from suspirium.desk.week_record import week_row
from suspirium.errors import PracticeError
from suspirium.plan.model import LeadingPlan
from suspirium.practice.calendar import Calendar, Listed
from suspirium.practice.model import Way
from suspirium.render.passage_page import task_page
from suspirium.render.passage_sound import passage_loops, task_sound
from suspirium.render.week_ics import week_ics
from suspirium.render.week_json import week_values
from suspirium.render.week_sheet import week_pdf
from suspirium.render.week_text import week_text
from suspirium.render.week_words import mind_words, part_words, tempo_words
from suspirium.store import write_folder
from suspirium.store.library import Library
from suspirium.store.practice import asked_of
from suspirium.tables import load
from suspirium.technique.model import Arrangement, Technique

_ARRANGEMENTS: dict[Way, Arrangement] = {
    "all": "pedal",
    "manuals": "manuals",
    "tune and bass": "manuals",
}


def write_week(calendar: Calendar, folder: Path, begin: time | None = None) -> None:
    """Writes sheet, calendar file, text and JSON into `folder`, replacing an earlier run."""
    values = json.dumps(week_values(calendar), ensure_ascii=False, indent=2)
    files = {
        "week.pdf": week_sheet(calendar),
        "week.ics": calendar_file(calendar, begin),
        "week.txt": week_text(calendar).encode(),
        "week.json": f"{values}\n".encode(),
    }
    write_folder(folder, files)


def week_sheet(calendar: Calendar) -> bytes:
    """The week on paper, as PDF."""
    return week_pdf(calendar)


def calendar_file(calendar: Calendar, begin: time | None = None) -> bytes:
    """The week as a calendar file, made now."""
    return week_ics(calendar, datetime.now(UTC).replace(microsecond=0), begin)


def write_material(
    library: Library, calendar: Calendar, folder: Path, *, ticks: bool, others: bool
) -> tuple[str, ...]:
    """Writes page and recording of each task that is still to do today; their names."""
    with library.session() as session:
        asked = asked_from(asked_of(week_row(session, calendar.first)))
    files: dict[str, bytes] = {}
    hymns: dict[int, tuple[LeadingPlan, Technique]] = {}
    for one in calendar.today:
        if one.done:
            continue
        index = one.task.hymn
        if index not in hymns:
            hymns[index] = _hymn(asked, index)
        files |= _task(calendar, one, *hymns[index], ticks=ticks, others=others)
    write_folder(folder, files)
    return tuple(files)


def task_material(
    library: Library, calendar: Calendar, number: int, *, ticks: bool, others: bool
) -> dict[str, bytes]:
    """Page and recording of one of today's tasks, by their names; `PracticeError` if there is
    no such task."""
    one = next((each for each in calendar.today if each.number == number), None)
    if one is None:
        raise PracticeError(f"today has {len(calendar.today)} tasks, there is no number {number}")
    with library.session() as session:
        asked = asked_from(asked_of(week_row(session, calendar.first)))
    return _task(calendar, one, *_hymn(asked, one.task.hymn), ticks=ticks, others=others)


def _hymn(asked: Asked, index: int) -> tuple[LeadingPlan, Technique]:
    each = asked.hymns[index]
    score = Path(each.named.score)
    plan = plan_file(score, asked.settings)
    return plan, study_technique(score, plan, asked.who, _ARRANGEMENTS[each.way])


def _task(
    calendar: Calendar,
    one: Listed,
    plan: LeadingPlan,
    technique: Technique,
    *,
    ticks: bool,
    others: bool,
) -> dict[str, bytes]:
    task = one.task
    hymn, named = calendar.week.hymns[task.hymn], calendar.hymns[task.hymn]
    passage = hymn.passages[task.passage]
    span_q = passage.start_q, passage.end_q
    who = part_words(task.part, hymn.way)
    what = f"{who[:1].upper()}{who[1:]}, {passage.name}; {tempo_words(task, named)}"
    page = task_page(plan, technique, span_q, task.part, what, mind_words(task))
    times = int(load("practice")["tempo.clean"])
    bpm = named.quarter_bpm * task.tempo_share
    loops = passage_loops(plan, technique, span_q, task.part, bpm, times)
    stem = f"task-{one.number:02}"
    sound = task_sound(plan, loops, ticks=ticks, others=others)
    return {f"{stem}.pdf": page, f"{stem}.ogg": sound}
