"""The week: visits chosen as one optimum, then laid out day by day as tasks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import exp

import numpy as np

from suspirium.practice import means
from suspirium.practice.choose import Choice, Column, Row, choose
from suspirium.practice.histories import Histories, histories
from suspirium.practice.model import Day, Expected, PracticeHymn, Week
from suspirium.practice.rules import Frame, alone, frame, rows_of
from suspirium.practice.settings import Learning, learning
from suspirium.practice.simpler import simpler_ways
from suspirium.practice.sitting import Visit
from suspirium.practice.spell import Spelled, lay_out
from suspirium.practice.traded import traded
from suspirium.tables import load


def plan_week(
    hymns: Sequence[PracticeHymn],
    minutes: Mapping[int, int],
    service_day: int,
    how: Learning | None = None,
) -> Week:
    """The week of the greatest mean readiness on the day of the service.

    `minutes` are those of each day (0 is the first), days without are left out. Readiness
    of a hymn is the geometric mean over its passages, weighed by their length: one weak
    line pulls it down. The mean over the hymns is geometric too.
    """
    how = how or learning()
    week = frame(minutes, service_day, how)
    visits = [(h, p) for h, hymn in enumerate(hymns) for p in range(len(hymn.passages))]
    found = [_histories(hymns[h], p, how, week) for h, p in visits]
    weights = [_weight(hymns, visit) for visit in visits]
    chosen = _chosen(hymns, visits, week, found, weights, how)
    counts = np.array([found[i].visits[way] for i, way in enumerate(chosen.ways)])
    done = lay_out(hymns, visits, week, counts.reshape(len(visits), len(week.days)), how)
    days = tuple(
        Day(day, minutes[day], done.steps.get(day, ())) for day in sorted(minutes) if minutes[day]
    )
    expected = tuple(_expected(hymn, h, done, how) for h, hymn in enumerate(hymns))
    return Week(
        hymns=tuple(hymns),
        service_day=service_day,
        days=days,
        expected=expected,
        ready=means.of_week([one.ready for one in expected], how),
        gap=exp(chosen.bound - chosen.value) - 1,
        traded=traded(hymns, visits, counts, expected, week, how),
        simpler=simpler_ways(hymns, visits, counts, expected, week, how),
    )


def _histories(hymn: PracticeHymn, passage: int, how: Learning, week: Frame) -> Histories:
    return histories(
        hymn.passages[passage],
        hymn.known[passage],
        hymn.way,
        how,
        week.days,
        week.most,
        week.service_day,
    )


def _weight(hymns: Sequence[PracticeHymn], visit: Visit) -> float:
    """A passage's share of its hymn, and the hymn's of the service; they add up to 1."""
    hymn = hymns[visit[0]]
    seconds = sum(passage.seconds for passage in hymn.passages)
    return hymn.passages[visit[1]].seconds / seconds / len(hymns)


def _chosen(
    hymns: Sequence[PracticeHymn],
    visits: Sequence[Visit],
    week: Frame,
    found: Sequence[Histories],
    weights: Sequence[float],
    how: Learning,
) -> Choice:
    """The best choice in which no passage follows itself."""
    columns = [
        _column(each, weight, len(hymns), how) for each, weight in zip(found, weights, strict=True)
    ]
    rows, costs = rows_of(hymns, visits, week)
    while True:
        chosen = choose(columns, rows, costs)
        fresh = _broken(columns, chosen, visits, week)
        if not fresh:
            return chosen
        rows = [*rows, *fresh]


def _column(found: Histories, weight: float, hymns: int, how: Learning) -> Column:
    """What each way is worth: the logarithm of readiness, less a little for every visit."""
    worth = load("practice").number("choose.worth") / hymns
    ready = np.log(np.maximum(found.ready, how.floor))
    return Column(found.visits, weight * ready - worth * found.visits.sum(axis=1))


def _broken(
    columns: Sequence[Column], chosen: Choice, visits: Sequence[Visit], week: Frame
) -> list[Row]:
    """Rows for the days on which a passage could only follow itself."""
    counts = np.array(
        [column.visits[way] for column, way in zip(columns, chosen.ways, strict=True)]
    )
    return [
        alone(visits, week, passage, day)
        for passage in range(len(visits))
        for day in range(len(week.days))
        if 2 * counts[passage, day] > counts[:, day].sum() + 1
    ]


def _expected(hymn: PracticeHymn, index: int, done: Spelled, how: Learning) -> Expected:
    own = [(index, passage) for passage in range(len(hymn.passages))]
    return Expected(
        now=means.of_hymn(hymn, [done.now[v] for v in own], how),
        without=means.of_hymn(hymn, [done.without[v] for v in own], how),
        ready=means.of_hymn(hymn, [done.ready[v] for v in own], how),
        passages=tuple(done.ready[v] for v in own),
    )
