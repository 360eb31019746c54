"""The week: visits chosen as one optimum, then laid out day by day as tasks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import exp

import numpy as np

from suspirium.practice import means
from suspirium.practice.choose import Choice, Column, Row, choose
from suspirium.practice.histories import Histories, histories
from suspirium.practice.model import Day, Expected, Instead, PracticeHymn, Way, Week
from suspirium.practice.readiness import Ints
from suspirium.practice.rules import Frame, alone, apart, frame, rows_of
from suspirium.practice.settings import Learning, learning
from suspirium.practice.simpler import simpler_ways, weak, with_hands_alone
from suspirium.practice.sitting import Visit
from suspirium.practice.spell import Spelled, lay_out
from suspirium.practice.traded import traded
from suspirium.tables import load

_SIMPLER: tuple[Way, ...] = ("manuals", "tune and bass")


def plan_week(
    hymns: Sequence[PracticeHymn],
    minutes: Mapping[int, int],
    service_day: int,
    how: Learning | None = None,
    instead: Sequence[Instead] = (),
) -> Week:
    """The week of the greatest mean readiness on the day of the service.

    `minutes` are those of each day (0 is the first), days without are left out. Readiness
    of a hymn is the geometric mean over its passages, weighed by their length: one weak
    line pulls it down. The mean over the hymns is geometric too. `instead` are hymns that
    could be sung in place of one that will not be ready.
    """
    best = solve_week(hymns, minutes, service_day, how)
    return whole_week(best, hymns, minutes, service_day, how, instead)


def solve_week(
    hymns: Sequence[PracticeHymn],
    minutes: Mapping[int, int],
    service_day: int,
    how: Learning | None = None,
) -> Solved:
    """The best choice for the hymns as they are to be played, spelled out."""
    how = how or learning()
    gap = load("practice").number("choose.gap")
    return _solved(hymns, frame(minutes, service_day, how), how, {}, gap)


def whole_week(
    best: Solved,
    hymns: Sequence[PracticeHymn],
    minutes: Mapping[int, int],
    service_day: int,
    how: Learning | None = None,
    instead: Sequence[Instead] = (),
) -> Week:
    """The week of the choice that was found, and what would be readier for weak hymns.

    Of `hymns` more may be known by now than when the choice was made: what hands alone ask.
    """
    how = how or learning()
    week = frame(minutes, service_day, how)
    rough = load("practice").number("choose.rough_gap")
    known = dict(best.known)
    others = {
        way: _solved(simpler, week, how, known, rough).expected
        for way, simpler in _simpler_weeks(hymns, best.expected, how)
    }
    return Week(
        hymns=tuple(hymns),
        service_day=service_day,
        days=tuple(
            Day(day, minutes[day], best.done.steps.get(day, ()))
            for day in sorted(minutes)
            if minutes[day]
        ),
        expected=best.expected,
        ready=means.of_week([one.ready for one in best.expected], how),
        gap=exp(best.choice.bound - best.choice.value) - 1,
        traded=traded(hymns, best.visits, best.counts, best.expected, week, how),
        simpler=simpler_ways(hymns, best.expected, others, instead),
    )


_Histories = dict[tuple[int, int, Way], Histories]


@dataclass(frozen=True, slots=True)
class Solved:
    """The best choice for some hymns, spelled out; `known` are its passages' histories."""

    visits: list[Visit]
    choice: Choice
    counts: Ints
    done: Spelled
    expected: tuple[Expected, ...]
    known: _Histories


def _solved(
    hymns: Sequence[PracticeHymn],
    week: Frame,
    how: Learning,
    known: _Histories,
    gap: float,
) -> Solved:
    """`known` keeps the histories of passages, which serve again where a hymn is the same."""
    visits = [(h, p) for h, hymn in enumerate(hymns) for p in range(len(hymn.passages))]
    for h, p in visits:
        key = h, p, hymns[h].way
        if key not in known:
            known[key] = _histories(hymns[h], p, how, week)
    found = [known[h, p, hymns[h].way] for h, p in visits]
    weights = [_weight(hymns, visit) for visit in visits]
    chosen = _chosen(hymns, visits, week, found, weights, how, gap)
    counts = np.array([found[i].visits[way] for i, way in enumerate(chosen.ways)])
    counts = counts.reshape(len(visits), len(week.days))
    done = lay_out(hymns, visits, week, counts, how)
    expected = tuple(_expected(hymn, h, done, how) for h, hymn in enumerate(hymns))
    return Solved(visits, chosen, counts, done, expected, known)


def _simpler_weeks(
    hymns: Sequence[PracticeHymn], expected: Sequence[Expected], how: Learning
) -> Iterator[tuple[Way, list[PracticeHymn]]]:
    """The week with all its weak hymns played by hands alone, in either way."""
    short = weak(expected)
    for way in _SIMPLER:
        if any(hymns[h].way == "all" or way == "tune and bass" != hymns[h].way for h in short):
            yield (
                way,
                [
                    with_hands_alone(hymn, way, how) if h in short else hymn
                    for h, hymn in enumerate(hymns)
                ],
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
    gap: float,
) -> Choice:
    """The best choice under all rules."""
    columns = [
        _column(each, weight, len(hymns), how) for each, weight in zip(found, weights, strict=True)
    ]
    rows = rows_of(hymns, visits, week)
    begun, extras = apart(hymns, visits, week)
    chosen = _unbroken(columns, [*rows, *begun], extras, visits, week, gap)
    if chosen is None:  # too few evenings for similar hymns to begin apart
        chosen = _unbroken(columns, rows, 0, visits, week, gap)
    if chosen is None:
        raise AssertionError("a week of one visit to each new hymn must be possible")
    return chosen


def _unbroken(
    columns: Sequence[Column],
    rows: Sequence[Row],
    extras: int,
    visits: Sequence[Visit],
    week: Frame,
    gap: float,
) -> Choice | None:
    """The best choice in which no passage follows itself."""
    while True:
        chosen = choose(columns, rows, extras, gap)
        fresh = _broken(columns, chosen, visits, week) if chosen else []
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
