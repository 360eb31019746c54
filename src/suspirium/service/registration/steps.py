"""The crescendo of hymn playing in steps: what a stanza asks for and what stops give."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from typing import cast

from suspirium.service.organ.feet import feet_named
from suspirium.service.organ.loudness import Sound, sound_of, together
from suspirium.service.organ.model import Family, Stop
from suspirium.tables import load

LEAST, MOST = 1.0, 5.0


@cache
def step_levels_db() -> tuple[float, ...]:
    """The levels of the five steps, each that of its own stops."""
    numbers = range(1, len(load("registration")["steps"]) + 1)
    return tuple(together(sound_of(stop) for stop in recipe(n)).level_db for n in numbers)


def recipe(step: int) -> tuple[Stop, ...]:
    """The stops that a step usually has, on an organ that has them."""
    return tuple(_recipe_stop(text) for text in load("registration")["steps"][step - 1])


def _recipe_stop(text: str) -> Stop:
    *feet, family = text.split(" ")
    pitches = tuple(feet_named(part) for part in " ".join(feet).split("+"))
    return Stop(text, "", pitches, cast(Family, family))


def step_of(sound: Sound) -> float:
    """Where a sound stands in the crescendo; the steps go on beyond both ends."""
    levels = step_levels_db()
    level = sound.level_db
    for number, (low, high) in enumerate(pairwise(levels), 1):
        if level < high or number == len(levels) - 1:
            return number + (level - low) / (high - low)
    raise AssertionError("the table has fewer than two steps")


def people_step(singers: int) -> float:
    """The step that so many people ask for."""
    rows: Sequence[tuple[int, float]] = load("registration")["singers"]
    return next((float(step) for most, step in rows if singers < most), float(rows[-1][1]))


def room_step(rt_s: float) -> float:
    """What the room adds to the step: it carries the organ, or takes it."""
    table = load("registration")
    most = table.number("room.most")
    by = table.number("room.per_s") * (rt_s - table.number("room.usual_rt_s"))
    return max(-most, min(most, by))


def place_step(place: str) -> float:
    """What the place in the service adds; `KeyError` for an unknown place."""
    return float(load("registration")["place"][place])


def clipped(step: float) -> float:
    """A step within the crescendo."""
    return max(LEAST, min(MOST, step))
