"""The week: planned from a form, its days and tasks with their material, what was done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.desk.hymnal import query, some_hymns
from suspirium.desk.own_desk import own_desk
from suspirium.desk.practising import plan_for, the_week
from suspirium.desk.week_files import calendar_file, task_material, week_sheet
from suspirium.desk.week_record import mark_done, tell_sung
from suspirium.desk.week_state import week_state, week_titles
from suspirium.desk.week_typed import day_typed, minutes_typed, sliders_typed, time_typed
from suspirium.errors import PracticeError
from suspirium.practice.calendar import Calendar, Listed
from suspirium.practice.known import LEVELS
from suspirium.practice.model import Break
from suspirium.practice.settings import slider_ranges, sliders
from suspirium.render.week_words import (
    CAUTION,
    CLAIM,
    day_words,
    ladder_words,
    mind_words,
    part_words,
    percent,
    tempo_words,
)
from suspirium.web.desk import Desk, desk_of
from suspirium.web.forms import fields, typed
from suspirium.web.jobs import Job, Outcome
from suspirium.web.pages import page
from suspirium.web.texts import texts

WAYS = ("all", "manuals", "tune and bass")
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_SUNDAY = 6


@dataclass(frozen=True, slots=True)
class TaskView:
    """A task in words."""

    number: int
    title: str
    lines: str
    who: str
    tempo: str
    minutes: int
    times: int
    mind: str
    done: bool


@dataclass(frozen=True, slots=True)
class DayView:
    """A day with its tasks; a break is None."""

    words: str
    minutes: int
    steps: tuple[TaskView | None, ...]


def show(request: Request) -> Response:
    """The week under way, or the form where there is none."""
    desk = desk_of(request)
    today = desk.settings.today()
    try:
        calendar = _calendar(desk, today)
    except PracticeError as over:  # the service is over
        return _form(request, desk, str(over), sung=True)
    if calendar is None:
        return _form(request, desk)
    ticks, others = _sound_of(request)
    answer = page(
        request,
        "week.html",
        here="week",
        ticks=ticks,
        others=others,
        sound=f"?sound={_sound_text(ticks, others)}",
        calendar=calendar,
        service=day_words(calendar.service),
        ladder=ladder_words(),
        claim=CLAIM,
        caution=CAUTION,
        today=day_words(calendar.first),
        tasks=[_task(calendar, one) for one in calendar.today],
        days=list(_days(calendar)),
        hymns=[
            (named.title, percent(expected.now), percent(expected.ready), expected.ready)
            for named, expected in zip(calendar.hymns, calendar.week.expected, strict=True)
        ],
        simpler=[
            (calendar.hymns[one.hymn].title, one.what, percent(one.ready), one.reason)
            for one in calendar.week.simpler
        ],
    )
    if "sound" in request.query_params:
        kept = _sound_text(ticks, others)
        answer.set_cookie("task-sound", kept, max_age=31536000, samesite="strict")
    return answer


def _sound_of(request: Request) -> tuple[bool, bool]:
    """Whether a task's recording ticks, and whether the other parts sound softly along, as last
    chosen; a form that is sent says `sound`, and what is ticked in it."""
    asked = request.query_params
    text = asked.get("sound", request.cookies.get("task-sound", "ticks-others"))
    return "ticks" in text or "ticks" in asked, "others" in text or "others" in asked


def _sound_text(ticks: bool, others: bool) -> str:
    return "-".join(word for word, on in (("ticks", ticks), ("others", others)) if on) or "alone"


def _calendar(desk: Desk, today: date) -> Calendar | None:
    """The week as it is planned now, made anew only after something was written."""
    with desk.library() as library:
        state = week_state(library, today)
        if state is None:
            return None
        calendar = desk.weeks.get(state, lambda: the_week(library, today))
        after = week_state(library, today)  # today's tasks may have been laid out just now
        return desk.weeks.get(after, lambda: calendar)


def _days(calendar: Calendar) -> Iterator[DayView]:
    for day in calendar.week.days:
        listed = iter(calendar.listed(day.day))
        steps = tuple(
            None if isinstance(step, Break) else _task(calendar, next(listed)) for step in day.steps
        )
        if day.day and any(steps):
            yield DayView(day_words(calendar.date_of(day.day)), day.minutes, steps)


def _task(calendar: Calendar, one: Listed) -> TaskView:
    task = one.task
    hymn, named = calendar.week.hymns[task.hymn], calendar.hymns[task.hymn]
    return TaskView(
        one.number,
        named.title,
        hymn.passages[task.passage].name,
        part_words(task.part, hymn.way),
        tempo_words(task, named),
        task.minutes,
        task.repetitions,
        mind_words(task),
        one.done,
    )


# Planning -------------------------------------------------------------------------------


def new(request: Request) -> Response:
    """The form for another week."""
    return _form(request, desk_of(request))


def _form(request: Request, desk: Desk, said_first: str = "", sung: bool = False) -> Response:
    today = desk.settings.today()
    with desk.library() as library:
        hymns = some_hymns(library, query())[0]
        titles = week_titles(library, today) if sung else ()
    ahead = (_SUNDAY - today.weekday()) % 7 or 7
    coming = (today + timedelta(days=ahead)).isoformat()
    return page(
        request,
        "week_new.html",
        here="week",
        hymns=hymns,
        service=request.query_params.get("service", "") or coming,
        chosen=set(request.query_params.get("hymns", "").split(",")),
        first=(today + timedelta(days=1)).isoformat(),
        weekdays=_WEEKDAYS,
        levels=LEVELS,
        ways=WAYS,
        usual_way="all" if own_desk().shared == "pedal" else "manuals",
        sliders=sliders(),
        ranges=slider_ranges(),
        said_first=said_first,
        sung=sung,
        sung_titles=titles,
    )


async def plan(request: Request) -> Response:
    """Plans a week in the background."""
    desk = desk_of(request)
    async with request.form() as form:
        asked = fields(form)
        numbers = [v for v in map(str, form.getlist("hymn")) if v.isdigit()]
    today = desk.settings.today()
    service = day_typed(asked.get("service", ""))
    given = {day: asked.get(day, "").strip() or "0" for day in _WEEKDAYS}
    minutes = minutes_typed(",".join(f"{d}={n}" for d, n in given.items()), today, service)
    if not numbers:
        raise PracticeError(texts()["week"]["none_chosen"])
    places = range(1, len(numbers) + 1)
    known = {str(i): k for i in places if (k := asked.get(f"known-{numbers[i - 1]}", ""))}
    ways = {str(i): w for i in places if (w := asked.get(f"way-{numbers[i - 1]}", ""))}

    moved = {name: text for name in sliders() if (text := asked.get(f"slider-{name}", "").strip())}
    own_numbers = sliders_typed([f"{name}={text}" for name, text in moved.items()])
    own = own_desk()

    def work(job: Job) -> Outcome:
        def told(_name: str, done: int, total: int) -> None:
            laying = texts()["week"]["studying" if done < total else "laying"]
            job.tell(laying, done, total)

        with desk.library() as library:
            scores = [Path(number) for number in numbers]
            plan_for(
                library,
                scores,
                service,
                minutes,
                today,
                known=known,
                ways=ways,
                who=own.who,
                room=own.room,
                singers=own.singers,
                sliders=own_numbers,
                progress=told,
            )
        return Outcome("", "/week")

    job = desk.jobs.begin(texts()["week"]["planning"], work)
    return RedirectResponse(f"/jobs/{job.number}", 303)


# What was done --------------------------------------------------------------------------


async def done(request: Request) -> Response:
    """Marks one of today's tasks as done."""
    desk = desk_of(request)
    asked = await typed(request)

    def work() -> None:
        with desk.library() as library:
            numbers = [int(asked.get("number", "0"))] if asked.get("number", "").isdigit() else []
            mark_done(library, desk.settings.today(), numbers, went=asked.get("went", "clean"))

    await run_in_threadpool(work)
    return RedirectResponse("/week?said=done", 303)


async def sung(request: Request) -> Response:
    """Keeps how the hymns went in the service."""
    desk = desk_of(request)
    async with request.form() as form:
        asked = {name: value for name, value in fields(form).items() if value and name.isdigit()}

    def work() -> None:
        with desk.library() as library:
            tell_sung(library, desk.settings.today(), asked)

    await run_in_threadpool(work)
    return RedirectResponse("/week?said=sung", 303)


# Material -------------------------------------------------------------------------------


def material(request: Request) -> Response:
    """The page or the recording of one of today's tasks."""
    desk = desk_of(request)
    number, kind = request.path_params["task"], request.path_params["kind"]
    calendar = _whole(desk)
    ticks, others = _sound_of(request)
    with desk.library() as library:
        state = week_state(library, calendar.first)
        key = (state, number, ticks, others)
        files = desk.tasks.get(
            key, lambda: task_material(library, calendar, number, ticks=ticks, others=others)
        )
    content = next((data for name, data in files.items() if name.endswith(f".{kind}")), None)
    media = {"pdf": "application/pdf", "ogg": "audio/ogg"}.get(kind)
    if content is None or media is None:
        return Response(status_code=404)
    return Response(content, media_type=media)


def sheet(request: Request) -> Response:
    """The week on paper."""
    return Response(week_sheet(_whole(desk_of(request))), media_type="application/pdf")


def ics(request: Request) -> Response:
    """The week for a calendar (iCalendar, RFC 5545)."""
    at = request.query_params.get("at", "")
    content = calendar_file(_whole(desk_of(request)), time_typed(at) if at else None)
    headers = {"Content-Disposition": 'attachment; filename="week.ics"'}
    return Response(content, media_type="text/calendar", headers=headers)


def _whole(desk: Desk) -> Calendar:
    calendar = _calendar(desk, desk.settings.today())
    if calendar is None:
        raise PracticeError(texts()["week"]["none"])
    return calendar


routes = [
    Route("/week", show),
    Route("/week/new", new),
    Route("/week", plan, methods=["POST"]),
    Route("/week/done", done, methods=["POST"]),
    Route("/week/sung", sung, methods=["POST"]),
    Route("/week/week.pdf", sheet),
    Route("/week/week.ics", ics),
    Route("/week/task-{task:int}.{kind}", material),
]
