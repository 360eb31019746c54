"""What is known at the start, as the organist says it."""

from __future__ import annotations

from suspirium.errors import PracticeError
from suspirium.practice.model import Known, Passage, Trace, Way
from suspirium.practice.parts import ladder
from suspirium.practice.settings import Learning
from suspirium.tables import load

LEVELS = ("new", "seen", "known", "secure")


def known_as(level: str, passage: Passage, way: Way, how: Learning) -> Known:
    """The state of a passage that is new, seen, known or secure; `PracticeError` otherwise."""
    if level not in LEVELS:
        raise PracticeError(f"a hymn is {', '.join(LEVELS)}, not {level!r}")
    if level == "new":
        return at_sight(passage, way, how)
    table = load("practice")
    trace = Trace(float(table["known.ready"][level]), int(table["known.days"][level]))
    return dict.fromkeys(ladder(passage, way, how).parts, trace)


def at_sight(passage: Passage, way: Way, how: Learning, known: Known | None = None) -> Known:
    """What reading at sight brings to the parts never practised, the less the more they ask;
    `known` is what was practised. Words and melody are always gone through first."""
    steps = ladder(passage, way, how)
    read = {
        part: Trace(how.sight**demand if part != ("tune",) else 0.0, 0)
        for part, demand in zip(steps.parts, steps.demand, strict=True)
    }
    practised = {part: trace for part, trace in (known or {}).items() if trace.days}
    return {**read, **practised}
