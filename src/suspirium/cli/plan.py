"""``suspirium plan``."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from suspirium.cli.common import RoomOption, Scores, SingersOption, say_error
from suspirium.errors import SuspiriumError


def plan(
    scores: Scores,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
    room: RoomOption = "parish",
    singers: SingersOption = None,
) -> None:
    """Print how to lead each hymn: pulse, tempo, breaths, lifts, stanza gap and touch."""
    from suspirium.desk.planning import Settings, plan_file
    from suspirium.render.plan_json import failure_values, plan_values
    from suspirium.render.plan_text import plan_text
    from suspirium.room import read_room

    settings = Settings(read_room(room), singers)
    failed = 0
    for score in scores:
        try:
            made = plan_file(score, settings)
        except SuspiriumError as problem:
            failed += 1
            say_error(f"{score}: {problem}")
            if as_json:
                typer.echo(json.dumps(failure_values(str(score), str(problem)), ensure_ascii=False))
            continue
        if as_json:
            typer.echo(json.dumps(plan_values(made, str(score)), ensure_ascii=False))
        else:
            typer.echo(plan_text(made))
    if failed:
        raise typer.Exit(1)
