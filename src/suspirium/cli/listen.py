"""``suspirium listen``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suspirium.cli.common import (
    RoomOption,
    SameBreathsOption,
    SingersOption,
    say_error,
    stderr,
    tell_each,
)

if TYPE_CHECKING:
    from suspirium.desk.takes import Listened


def listen(
    takes: Annotated[
        list[Path],
        typer.Argument(
            help="Takes as MIDI files or recordings (WAV, FLAC, OGG, MP3), or folders of them.",
            show_default=False,
        ),
    ],
    hymn: Annotated[Path, typer.Option("--hymn", help="The score of the hymn that was played.")],
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Folder for the reports as web page, PDF and JSON."),
    ] = None,
    keep: Annotated[
        bool,
        typer.Option(
            "--keep/--no-keep",
            help="Keep takes of hymns of your library there, with what they showed.",
        ),
    ] = True,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
    room: RoomOption = "parish",
    singers: SingersOption = None,
    same_breaths: SameBreathsOption = False,
) -> None:
    """Measure what was really played against the plan: pulse, lifts, gaps, notes."""
    from suspirium.desk.finding import find_score
    from suspirium.desk.listening import take_files, write_report
    from suspirium.desk.planning import Settings, plan_found
    from suspirium.desk.takes import listen_and_keep
    from suspirium.render.take_json import take_failure_values, take_values
    from suspirium.render.take_text import take_text
    from suspirium.room import read_room

    found = find_score(hymn)
    plan = plan_found(found, Settings(read_room(room), singers, same_breaths))

    def make(take: Path) -> Listened:
        heard = listen_and_keep(found, plan, take, keep=keep)
        if heard.not_kept:
            say_error(f"{take} is not kept: {heard.not_kept}")
        if out is not None:
            page = write_report(heard.report, plan, take, out, heard.history)
            stderr.print(f"The report is {page}", soft_wrap=True)
        return heard

    tell_each(
        take_files(takes),
        make,
        lambda heard: take_text(heard.report, heard.history),
        lambda heard, source: take_values(heard.report, source, heard.history),
        take_failure_values,
        as_json=as_json,
    )
