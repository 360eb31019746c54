"""``suspirium plan``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from suspirium.cli.common import (
    KeyOption,
    RoomOption,
    SameBreathsOption,
    Scores,
    SingersOption,
    tell_each,
)

if TYPE_CHECKING:
    from suspirium.plan.model import LeadingPlan


def plan(
    scores: Scores,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
    room: RoomOption = "parish",
    singers: SingersOption = None,
    same_breaths: SameBreathsOption = False,
    key: KeyOption = "printed",
) -> None:
    """Print how to lead each hymn: pulse, tempo, breaths, lifts, stanza gap and touch."""
    from suspirium.desk.planning import Settings, key_asked, plan_file
    from suspirium.render.plan_text import plan_text
    from suspirium.room import read_room

    settings = Settings(read_room(room), singers, same_breaths, key_asked(key))
    tell_each(
        scores,
        lambda score: plan_file(score, settings),
        plan_text,
        _values,
        _failure,
        as_json=as_json,
    )


def _values(planned: LeadingPlan, source: str) -> dict[str, Any]:
    """As JSON, whose keys and introductions ask for more of the program than the text."""
    from suspirium.render.plan_json import plan_values

    return plan_values(planned, source)


def _failure(source: str, message: str) -> dict[str, Any]:
    from suspirium.render.plan_json import failure_values

    return failure_values(source, message)
