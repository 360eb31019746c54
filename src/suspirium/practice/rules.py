"""The rows that tie the passages of a week together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from suspirium.practice.choose import Row
from suspirium.practice.model import PracticeHymn
from suspirium.practice.readiness import Floats
from suspirium.practice.settings import Learning
from suspirium.practice.sitting import Visit, visits_in
from suspirium.tables import load


@dataclass(frozen=True, slots=True)
class Frame:
    """The days on which a visit fits: their numbers and how many visits each holds."""

    days: tuple[int, ...]
    room: tuple[int, ...]
    service_day: int

    @property
    def early(self) -> int:
        """How many of the days are the first ones, in which new hymns begin."""
        return ceil(load("practice").number("early.share") * len(self.days))

    @property
    def most(self) -> tuple[int, ...]:
        """Visits to one passage at most, day by day."""
        return tuple(min(int(load("practice")["time.visits_a_day"]), room) for room in self.room)


def frame(minutes: Mapping[int, int], service_day: int, learning: Learning) -> Frame:
    """The frame of a week with so many minutes on each day before the service."""
    room = {day: visits_in(minutes[day], learning) for day in sorted(minutes)}
    days = tuple(day for day, count in room.items() if count and 0 <= day < service_day)
    return Frame(days, tuple(room[day] for day in days), service_day)


def rows_of(hymns: Sequence[PracticeHymn], visits: Sequence[Visit], week: Frame) -> list[Row]:
    """The minutes of each day, and the early start of new hymns."""
    rows = [_only(visits, week, day, room) for day, room in enumerate(week.room)]
    return rows + _early(hymns, visits, week)


def _zeros(visits: Sequence[Visit], week: Frame) -> Floats:
    return np.zeros((len(visits), len(week.days)))


def _only(visits: Sequence[Visit], week: Frame, day: int, room: int) -> Row:
    per_visit = _zeros(visits, week)
    per_visit[:, day] = 1
    return Row(per_visit, room)


def alone(visits: Sequence[Visit], week: Frame, passage: int, day: int) -> Row:
    """Two visits to a passage need one elsewhere between them."""
    per_visit = _zeros(visits, week)
    per_visit[:, day] = -1
    per_visit[passage, day] = 1
    return Row(per_visit, 1)


def _early(hymns: Sequence[PracticeHymn], visits: Sequence[Visit], week: Frame) -> list[Row]:
    """Every new hymn is visited early, if there is room for all of them."""
    new = [index for index, hymn in enumerate(hymns) if hymn.new]
    if len(new) > sum(week.room[: week.early]):
        return []
    rows = []
    for hymn in new:
        per_visit = _zeros(visits, week)
        own = [i for i, visit in enumerate(visits) if visit[0] == hymn]
        per_visit[own, : week.early] = -1
        rows.append(Row(per_visit, -1))
    return rows


def new_and_alike(hymns: Sequence[PracticeHymn]) -> list[tuple[int, int]]:
    """Pairs of new hymns so alike that learning one unsettles the other."""
    return [
        (a, b)
        for a, hymn in enumerate(hymns)
        for b in sorted(hymn.alike)
        if a < b and hymn.new and hymns[b].new
    ]


def apart(
    hymns: Sequence[PracticeHymn], visits: Sequence[Visit], week: Frame
) -> tuple[list[Row], int]:
    """Similar new hymns begin on different evenings; how many yes-or-no variables that needs.

    There is one for each such hymn and day: it begins then.
    """
    pairs = new_and_alike(hymns)
    rows: list[Row] = []
    begins: dict[tuple[int, int], int] = {}
    for hymn in sorted({hymn for pair in pairs for hymn in pair}):
        own = [i for i, visit in enumerate(visits) if visit[0] == hymn]
        for day, most in enumerate(week.most):
            begins[hymn, day] = len(begins)
            per_visit = _zeros(visits, week)
            per_visit[own, day] = 1
            most_visits = min(most * len(own), week.room[day])
            so_far = tuple((begins[hymn, d], -most_visits) for d in range(day + 1))
            rows.append(Row(per_visit, 0, so_far))
        once = tuple((begins[hymn, day], 1.0) for day in range(len(week.days)))
        rows.append(Row(_zeros(visits, week), 1, once))
    for a, b in pairs:
        for day in range(len(week.days)):
            extras = ((begins[a, day], 1.0), (begins[b, day], 1.0))
            rows.append(Row(_zeros(visits, week), 1, extras))
    return rows, len(begins)
