"""Passages and tasks as plain values that JSON can hold, and back."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, cast

from suspirium.practice.model import Part, Passage, Player, Task


def passage_values(passage: Passage) -> dict[str, Any]:
    """A passage as values; fractions as text."""
    return {
        "phrases": [passage.first_phrase, passage.last_phrase],
        "span_q": [str(passage.start_q), str(passage.end_q)],
        "measures": [passage.first_measure, passage.last_measure],
        "seconds": passage.seconds,
        "demand": dict(passage.demand),
        "manual_demand": dict(passage.manual_demand) if passage.manual_demand else None,
        "mind": list(passage.mind),
        "hard": passage.hard,
    }


def passage_from(values: Mapping[str, Any]) -> Passage:
    """The passage that these values hold."""
    manual = values["manual_demand"]
    return Passage(
        first_phrase=values["phrases"][0],
        last_phrase=values["phrases"][1],
        start_q=Fraction(values["span_q"][0]),
        end_q=Fraction(values["span_q"][1]),
        first_measure=values["measures"][0],
        last_measure=values["measures"][1],
        seconds=values["seconds"],
        demand=cast(dict[Player, float], values["demand"]),
        mind=tuple(values["mind"]),
        hard=values["hard"],
        manual_demand=cast(dict[Player, float], manual) if manual else None,
    )


def task_values(task: Task) -> dict[str, Any]:
    """A task as values; hymn and passage by their index."""
    return {
        "hymn": task.hymn,
        "passage": task.passage,
        "part": list(task.part),
        "tempo_share": task.tempo_share,
        "tempo_until": task.tempo_until,
        "minutes": task.minutes,
        "repetitions": task.repetitions,
        "mind": list(task.mind),
    }


def task_from(values: Mapping[str, Any]) -> Task:
    """The task that these values hold."""
    return Task(
        hymn=values["hymn"],
        passage=values["passage"],
        part=part_from(values["part"]),
        tempo_share=values["tempo_share"],
        tempo_until=values["tempo_until"],
        minutes=values["minutes"],
        repetitions=values["repetitions"],
        mind=tuple(values["mind"]),
    )


def part_from(players: list[str]) -> Part:
    """Who plays, as kept in JSON."""
    return cast(Part, tuple(players))
