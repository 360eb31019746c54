"""What is known at the start, as the organist says it."""

from __future__ import annotations

from suspirium.errors import PracticeError
from suspirium.practice.model import Known, Passage, Trace, Way
from suspirium.practice.parts import parts_of
from suspirium.tables import load

LEVELS = ("new", "seen", "known", "secure")


def known_as(level: str, passage: Passage, way: Way = "all", player: str = "fluent") -> Known:
    """The state of a passage that is new, seen, known or secure; `PracticeError` otherwise.

    A new passage is read at sight as well as this player does.
    """
    if level not in LEVELS:
        raise PracticeError(f"a hymn is {', '.join(LEVELS)}, not {level!r}")
    table = load("practice")
    playing = frozenset(name for name, demand in passage.demand.items() if demand > 0)
    sight = float(table["known.sight"][player])
    trace = (
        Trace(sight, 0)
        if level == "new"
        else Trace(float(table["known.ready"][level]), int(table["known.days"][level]))
    )
    return dict.fromkeys(parts_of(way, playing), trace)
