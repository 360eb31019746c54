"""``suspirium week``: plan, today, done, show."""

from __future__ import annotations

from datetime import date, time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suspirium.cli.common import (
    RoomOption,
    Scores,
    SingersOption,
    progress_bar,
    stderr,
    tell_json,
)
from suspirium.cli.finger import BoardOption, HandOption, LevelOption, SpanOption
from suspirium.cli.hymnal import JsonOption, LibraryOption

if TYPE_CHECKING:
    from suspirium.practice.calendar import Calendar

week = typer.Typer(
    help="The week: what to practise when, so that the hymns are ready.", no_args_is_help=True
)

OnOption = Annotated[
    str, typer.Option("--on", help="The day it is, as 2026-11-30.", show_default="today")
]
OutOption = Annotated[
    Path | None,
    typer.Option("--out", help="Folder for the sheet, the calendar file, text and JSON."),
]
AtOption = Annotated[
    str, typer.Option("--at", help="When you sit down, as 19:30, for the calendar file.")
]


@week.command()
def plan(
    scores: Scores,
    service: Annotated[str, typer.Option(help="The day of the service, as 2026-12-06.")],
    minutes: Annotated[
        str,
        typer.Option(
            help="Minutes a day: 30 for every day; 40,20,0,40 from today on; mon=40,thu=20."
        ),
    ],
    known: Annotated[
        list[str] | None,
        typer.Option(help="How well you know a hymn: NAME=new, seen, known or secure."),
    ] = None,
    play: Annotated[
        list[str] | None,
        typer.Option(help="How a hymn is played: NAME=all, manuals or 'tune and bass'."),
    ] = None,
    slide: Annotated[
        list[str] | None,
        typer.Option(help="A number of the model that nobody measured, yours: rate=0.1."),
    ] = None,
    hand: HandOption = "medium",
    hand_span: SpanOption = None,
    level: LevelOption = "fluent",
    pedalboard: BoardOption = "ago",
    room: RoomOption = "parish",
    singers: SingersOption = None,
    out: OutOption = None,
    at: AtOption = "",
    library: LibraryOption = None,
    on: OnOption = "",
    as_json: JsonOption = False,
) -> None:
    """Lay out the days until a service; a hymn without a record is taken as new."""
    from suspirium.desk.hymnal import the_library
    from suspirium.desk.practising import plan_for
    from suspirium.desk.week_hymns import Who
    from suspirium.desk.week_typed import day_typed, minutes_typed, pairs_typed, sliders_typed

    today = _today(on)
    day = day_typed(service)
    who = Who(hand, hand_span, level, pedalboard)
    with the_library(library) as opened, progress_bar(len(scores), as_json) as bar:

        def told(name: str, done: int, total: int) -> None:
            bar.step(name or "the week")("reading" if done < total else "laid out")
            if done:
                bar.advance()

        made = plan_for(
            opened,
            scores,
            day,
            minutes_typed(minutes, today, day),
            today,
            known=pairs_typed(known or []),
            ways=pairs_typed(play or []),
            who=who,
            room=room,
            singers=singers,
            sliders=sliders_typed(slide or []),
            progress=told,
        )
    _tell(made, out, at, as_json)


@week.command()
def today(
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Folder for each task's page and recording."),
    ] = None,
    ticks: Annotated[bool, typer.Option("--ticks/--no-ticks", help="Tick the pulse.")] = True,
    others: Annotated[
        bool, typer.Option("--others/--alone", help="The other parts softly, or not at all.")
    ] = True,
    library: LibraryOption = None,
    on: OnOption = "",
    as_json: JsonOption = False,
) -> None:
    """Show today's tasks; with --out, write the page and the recording of each."""
    from suspirium.desk.hymnal import the_library
    from suspirium.desk.practising import the_week
    from suspirium.desk.week_files import write_material
    from suspirium.render.week_json import today_values
    from suspirium.render.week_text import today_text

    with the_library(library) as opened:
        made = the_week(opened, _today(on))
        written = write_material(opened, made, out, ticks=ticks, others=others) if out else ()
    if as_json:
        tell_json(today_values(made) | {"files": list(written)})
        return
    typer.echo(today_text(made), nl=False)
    if written:
        stderr.print(f"Pages and recordings lie in {out}.", soft_wrap=True)


@week.command()
def done(
    tasks: Annotated[list[int] | None, typer.Argument(help="Numbers of today's tasks.")] = None,
    every: Annotated[bool, typer.Option("--all", help="All of today's tasks.")] = False,
    went: Annotated[str, typer.Option(help="How they went: clean or faulty.")] = "clean",
    take: Annotated[
        Path | None, typer.Option(help="A take of a hymn, MIDI or sound, to be heard.")
    ] = None,
    hymn: Annotated[str, typer.Option(help="The hymn that the take is of.")] = "",
    sung: Annotated[
        list[str] | None,
        typer.Option(help="How a hymn went in the service: NAME=well, fair or badly."),
    ] = None,
    library: LibraryOption = None,
    on: OnOption = "",
    as_json: JsonOption = False,
) -> None:
    """Tell what was done; the days that follow are planned by it."""
    from suspirium.desk.hymnal import the_library
    from suspirium.desk.week_record import hear_take, mark_done, tell_sung
    from suspirium.desk.week_typed import pairs_typed

    if not (tasks or every or take or sung):
        raise typer.BadParameter("say which tasks are done, or give --all, --take or --sung")
    day = _today(on)
    with the_library(library) as opened:
        marked: tuple[int, ...] = ()
        if tasks or every:
            marked = mark_done(opened, day, tasks or (), every=every, went=went)
        heard = hear_take(opened, day, hymn, take) if take else None
        titles = tell_sung(opened, day, pairs_typed(sung)) if sung else ()
    if as_json:
        showed = [list(one) for one in heard.stretches] if heard else None
        tell_json({"done": list(marked), "take": showed, "sung": list(titles)})
        return
    if marked:
        typer.echo(f"Done: {', '.join(map(str, marked))}.")
    if heard:
        lines = ", ".join(f"lines {a}–{b} {ready:.0%}" for a, b, ready in heard.stretches)
        typer.echo(f"{heard.title}, as the take shows it: {lines}.")
    if titles:
        typer.echo(f"In the record: {', '.join(titles)}.")


@week.command()
def show(
    name: Annotated[
        str, typer.Argument(help="A hymn, for its record over the years.", show_default="the week")
    ] = "",
    out: OutOption = None,
    at: AtOption = "",
    library: LibraryOption = None,
    on: OnOption = "",
    as_json: JsonOption = False,
) -> None:
    """Show the week, planned anew from today, or a hymn's running record."""
    from suspirium.desk.hymnal import the_library
    from suspirium.desk.practising import the_week
    from suspirium.desk.week_record import record_of
    from suspirium.render.week_text import record_text

    with the_library(library) as opened:
        if name:
            values = record_of(opened, name, _today(on))
        else:
            made = the_week(opened, _today(on))
    if not name:
        _tell(made, out, at, as_json)
    elif as_json:
        tell_json(values)
    else:
        typer.echo(record_text(values), nl=False)


def _today(on: str) -> date:
    from suspirium.desk.week_typed import day_typed

    return day_typed(on) if on else date.today()


def _tell(made: Calendar, out: Path | None, at: str, as_json: bool) -> None:
    from suspirium.desk.week_files import write_week
    from suspirium.desk.week_typed import time_typed
    from suspirium.render.week_json import week_values
    from suspirium.render.week_text import week_text

    begin: time | None = time_typed(at) if at else None
    if out:
        write_week(made, out, begin)
    if as_json:
        tell_json(week_values(made))
        return
    typer.echo(week_text(made), nl=False)
    if out:
        stderr.print(f"The sheet and the calendar file lie in {out}.", soft_wrap=True)
