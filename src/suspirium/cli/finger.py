"""``suspirium finger``, and the options about the player that other commands share."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suspirium.cli.common import RoomOption, Scores, SingersOption, tell_each

if TYPE_CHECKING:
    from suspirium.plan.model import LeadingPlan
    from suspirium.technique.model import Technique

HandOption = Annotated[str, typer.Option(help="The player's hand: small, medium or large.")]
SpanOption = Annotated[
    float | None,
    typer.Option(
        "--hand-span",
        help="Its span instead, in cm from the tip of the thumb to that of the little finger.",
        show_default=False,
    ),
]
LevelOption = Annotated[
    str, typer.Option(help="fluent, or beginner: few substitutions, inner voices may part.")
]
BoardOption = Annotated[
    str,
    typer.Option(
        "--pedalboard",
        help="ago: 32 notes, concave, radiating; rco: 30, flatter, radiating; "
        "bdo: 30, concave, parallel; flat: 30, flat, parallel.",
    ),
]
ArrangementOption = Annotated[
    str,
    typer.Option(
        "--hands",
        help="pedal: bass in the feet; manuals: no pedal; solo: the melody on its own manual.",
    ),
]
FingeringOption = Annotated[
    str, typer.Option(help="Fingers and feet on the marked score: none, helpful or all.")
]
PartsOption = Annotated[
    bool, typer.Option("--parts", help="Also write parts.pdf: each hand, the pedal, and pairs.")
]


def finger(
    scores: Scores,
    hand: HandOption = "medium",
    hand_span: SpanOption = None,
    level: LevelOption = "fluent",
    pedalboard: BoardOption = "ago",
    hands: ArrangementOption = "pedal",
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
    room: RoomOption = "parish",
    singers: SingersOption = None,
) -> None:
    """Find hands, fingers and feet for each hymn, how hard it is and what to practise."""
    from suspirium.desk.fingering import playing, technique_for
    from suspirium.desk.planning import Settings, plan_file
    from suspirium.render.technique_json import technique_failure, technique_values
    from suspirium.render.technique_text import technique_text
    from suspirium.room import read_room

    settings = Settings(read_room(room), singers)
    player = playing(hand, hand_span, level, pedalboard, hands)

    def make(score: Path) -> tuple[LeadingPlan, Technique]:
        plan = plan_file(score, settings)
        return plan, technique_for(score, plan, player)

    tell_each(
        scores,
        make,
        lambda made: technique_text(*made),
        lambda made, source: technique_values(*made, source),
        technique_failure,
        as_json=as_json,
    )
