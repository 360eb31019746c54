"""What a week of practice is made from, kept so that it can be planned anew every day."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from suspirium.desk.planning import Settings
from suspirium.desk.week_hymns import Studied, Who, studied_from, studied_values
from suspirium.practice.model import Task
from suspirium.practice.record import Done
from suspirium.room import read_room


@dataclass(frozen=True, slots=True)
class Asked:
    """What a week is made from: hymns, minutes by date, the service, the player, the room, and
    the player's own numbers of the model."""

    hymns: tuple[Studied, ...]
    minutes: Mapping[date, int]
    service: date
    who: Who
    room: str
    singers: int | None = None
    sliders: Mapping[str, float] = field(default_factory=dict)

    @property
    def settings(self) -> Settings:
        """What the hymns' plans depend on."""
        return Settings(read_room(self.room), self.singers)


def asked_text(asked: Asked) -> str:
    """A week as JSON text, to be kept."""
    values = {
        "service": asked.service.isoformat(),
        "minutes": {day.isoformat(): most for day, most in sorted(asked.minutes.items())},
        "who": {
            "hand": asked.who.hand,
            "span_cm": asked.who.span_cm,
            "level": asked.who.level,
            "board": asked.who.board,
        },
        "room": asked.room,
        "singers": asked.singers,
        "sliders": dict(asked.sliders),
        "hymns": [studied_values(each) for each in asked.hymns],
    }
    return json.dumps(values, ensure_ascii=False)


def asked_from(values: Mapping[str, Any]) -> Asked:
    """The week that these values hold."""
    return Asked(
        hymns=tuple(studied_from(each) for each in values["hymns"]),
        minutes={date.fromisoformat(day): most for day, most in values["minutes"].items()},
        service=date.fromisoformat(values["service"]),
        who=Who(**values["who"]),
        room=values["room"],
        singers=values["singers"],
        sliders=values.get("sliders", {}),
    )


def done_event(each: Studied, task: Task, day: int, went: str = "clean") -> Done:
    """A task as a line of the running record."""
    passage = each.passages[task.passage]
    return Done(
        day, passage.first_phrase, passage.last_phrase, task.part, float(task.minutes), went
    )
