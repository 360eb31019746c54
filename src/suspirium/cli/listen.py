"""``suspirium listen``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suspirium.cli.common import RoomOption, SameBreathsOption, SingersOption, stderr, tell_each

if TYPE_CHECKING:
    from suspirium.take.report import TakeReport


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
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
    room: RoomOption = "parish",
    singers: SingersOption = None,
    same_breaths: SameBreathsOption = False,
) -> None:
    """Measure what was really played against the plan: pulse, lifts, gaps, notes."""
    from suspirium.desk.listening import listen_to, take_files, write_report
    from suspirium.desk.planning import Settings, plan_file
    from suspirium.render.take_json import take_failure_values, take_values
    from suspirium.render.take_text import take_text
    from suspirium.room import read_room

    plan = plan_file(hymn, Settings(read_room(room), singers, same_breaths))

    def make(take: Path) -> TakeReport:
        report = listen_to(plan, take)
        if out is not None:
            stderr.print(f"The report is {write_report(report, take, out)}", soft_wrap=True)
        return report

    tell_each(take_files(takes), make, take_text, take_values, take_failure_values, as_json=as_json)
