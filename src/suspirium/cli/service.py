"""``suspirium service``: new, add, show, sheet, sound, prepare."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suspirium.cli.common import (
    QuietOption,
    SingersOption,
    progress_bar,
    stderr,
    tell_json,
)
from suspirium.cli.hymnal import JsonOption

if TYPE_CHECKING:
    from suspirium.service.order import HymnMoment, Moment

service = typer.Typer(
    help="A service: its order, introductions, keys and stops, and one sheet to play from.",
    no_args_is_help=True,
)

OrderFile = Annotated[
    Path, typer.Argument(help="The order of service, a TOML file.", show_default=False)
]
OutFolder = Annotated[Path, typer.Option("--out", help="Folder for the results.")]
SoundOption = Annotated[
    list[str] | None,
    typer.Option(help="Sound files to write: flac, ogg, wav.", show_default="flac"),
]
TicksOption = Annotated[bool, typer.Option("--ticks", help="Tick the pulse in the recordings.")]


@service.command()
def new(
    order: OrderFile,
    name: Annotated[str, typer.Option(help="What the service is called.")],
    date: Annotated[str, typer.Option(help="Its day, as 2026-12-06.")] = "",
    begins: Annotated[str, typer.Option(help="Its hour, as 10:00.")] = "",
    organ: Annotated[
        str, typer.Option(help="The organ's stop list, a TOML file, by its path from the order.")
    ] = "",
    room: Annotated[
        str, typer.Option(help="The room, as for prepare.", show_default="parish")
    ] = "",
    singers: SingersOption = None,
    people: Annotated[
        str, typer.Option(help="For whom keys are proposed: mixed or elders.")
    ] = "mixed",
    early: Annotated[
        bool, typer.Option("--early", help="Early in the day: voices are lower.")
    ] = False,
) -> None:
    """Begin an order of service; add hymns to it next."""
    from suspirium.desk.serving import new_service
    from suspirium.desk.week_typed import day_typed, time_typed
    from suspirium.service.order import Order

    new_service(
        order,
        Order(
            name=name,
            on=day_typed(date) if date else None,
            begins=time_typed(begins) if begins else None,
            room=room,
            singers=singers,
            organ=organ,
            people=people,
            early=early,
        ),
    )
    typer.echo(f"{order} is there; add hymns with: suspirium service add {order} HYMN")


@service.command()
def add(
    order: OrderFile,
    hymns: Annotated[
        list[str] | None,
        typer.Argument(help="Scores beside the order, or hymns of the library."),
    ] = None,
    moment: Annotated[str, typer.Option(help="Something else instead, as 'Sermon'.")] = "",
    minutes: Annotated[float, typer.Option(min=0, help="How long that lasts.")] = 0.0,
    place: Annotated[
        str, typer.Option(help="opening, middle, prayer, communion or closing.")
    ] = "middle",
    stanzas: Annotated[
        str, typer.Option(help="The stanzas sung, as 1,2,4.", show_default="all")
    ] = "",
    introduction: Annotated[
        int, typer.Option(min=0, help="Which of the proposed ones, best first; 0 for none.")
    ] = 1,
    key: Annotated[str, typer.Option(help="printed, proposed, or semitones up: -2.")] = "printed",
    amen: Annotated[bool, typer.Option("--amen", help="With an amen.")] = False,
    broaden: Annotated[
        bool, typer.Option("--broaden", help="The last line of the last stanza slows.")
    ] = False,
    new_tune: Annotated[
        bool, typer.Option("--new-tune", help="People do not know it: introduce it as a solo.")
    ] = False,
    character: Annotated[
        list[str] | None,
        typer.Option(help="A stanza's character: 2=still, quiet, plain, bright or great."),
    ] = None,
) -> None:
    """Put hymns, or another moment, at the end of an order."""
    from suspirium.desk.service_typed import characters_typed, key_typed, stanzas_typed
    from suspirium.desk.serving import add_moments
    from suspirium.service.order import HymnMoment, Moment

    if bool(hymns) == bool(moment):
        raise typer.BadParameter("name hymns, or give --moment")
    added: Sequence[HymnMoment | Moment]
    if moment:
        added = [Moment(moment, minutes)]
    else:
        added = [
            HymnMoment(
                hymn=hymn,
                place=place,
                stanzas=stanzas_typed(stanzas),
                introduction=introduction,
                key=key_typed(key),
                amen=amen,
                broaden=broaden,
                new_tune=new_tune,
                characters=characters_typed(character or []),
            )
            for hymn in hymns or []
        ]
    whole = add_moments(order, tuple(added))
    count = len(whole.hymns)
    typer.echo(f"{whole.name} has {count} hymn{'' if count == 1 else 's'} now.")


@service.command()
def show(order: OrderFile, as_json: JsonOption = False) -> None:
    """Show a service: times, keys, pulses, introductions, stops, and what does not fit."""
    from suspirium.desk.serving import the_service

    made, _ = the_service(order)
    if as_json:
        from suspirium.render.order_json import service_values

        tell_json(service_values(made))
        return
    from suspirium.render.service_text import service_text

    typer.echo(service_text(made), nl=False)


@service.command()
def sheet(order: OrderFile, out: OutFolder, quiet: QuietOption = False) -> None:
    """Write the bench sheet, the choir's sheet, text, JSON and the calendar file."""
    _prepare(order, out, quiet, sheets=True, pages=False, sound=[], ticks=False)


@service.command()
def sound(
    order: OrderFile,
    out: OutFolder,
    sound: SoundOption = None,
    ticks: TicksOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write the recording of every hymn as it is played there, on the chosen stops."""
    _prepare(order, out, quiet, sheets=False, pages=False, sound=sound or ["flac"], ticks=ticks)


@service.command()
def prepare(
    order: OrderFile,
    out: OutFolder,
    sound: SoundOption = None,
    ticks: TicksOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write everything in one go: sheets, marked scores, plans, fingering, recordings."""
    _prepare(order, out, quiet, sheets=True, pages=True, sound=sound or ["flac"], ticks=ticks)


def _prepare(
    order: Path,
    out: Path,
    quiet: bool,
    *,
    sheets: bool,
    pages: bool,
    sound: Sequence[str],
    ticks: bool,
) -> None:
    from suspirium.desk.preparing import recording_settings
    from suspirium.desk.service_files import prepare_service, steps_of

    forms = recording_settings(sound, ticks, None, []).forms if sound else ()
    total = steps_of(order, sheets=sheets, pages=pages, sound=bool(forms))
    with progress_bar(total, quiet) as bar:
        step = bar.step(order.stem)

        def progress(what: str) -> None:
            step(what)
            bar.advance()

        prepare_service(
            order, out, sheets=sheets, pages=pages, forms=forms, ticks=ticks, progress=progress
        )
    if not quiet:
        first = "bench.pdf" if sheets else f"hymn-1-leading.{sound[0]}"
        stderr.print(f"The results lie in {out.resolve()}: open {first}.", soft_wrap=True)
