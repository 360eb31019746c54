"""``suspirium plan``."""

from __future__ import annotations

from typing import Annotated

import typer

from suspirium.cli.common import RoomOption, SameBreathsOption, Scores, SingersOption, tell_each


def plan(
    scores: Scores,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
    room: RoomOption = "parish",
    singers: SingersOption = None,
    same_breaths: SameBreathsOption = False,
) -> None:
    """Print how to lead each hymn: pulse, tempo, breaths, lifts, stanza gap and touch."""
    from suspirium.desk.planning import Settings, plan_file
    from suspirium.render.plan_json import failure_values, plan_values
    from suspirium.render.plan_text import plan_text
    from suspirium.room import read_room

    settings = Settings(read_room(room), singers, same_breaths)
    tell_each(
        scores,
        lambda score: plan_file(score, settings),
        plan_text,
        plan_values,
        failure_values,
        as_json=as_json,
    )
