"""The week: never more than the minutes, order and spacing kept, the best there is."""

from __future__ import annotations

from itertools import pairwise, product
from math import exp, log
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suspirium.practice.model import Break, Day, PracticeHymn, Task, Week
from suspirium.practice.parts import ladder
from suspirium.practice.readiness import night, readiness, start, visit
from suspirium.practice.settings import learning
from suspirium.practice.sitting import visits_in
from suspirium.practice.week import plan_week
from suspirium.tables import load
from tests.unit.practice.build import hymn, passage

HOW = learning()
LEVELS = ("new", "seen", "known", "secure")


@st.composite
def weeks(draw: Any) -> Week:
    """Weeks of one to three hymns and up to five days, long and short."""
    count = draw(st.integers(1, 3))
    hymns = [
        hymn(
            f"Hymn {index}",
            draw(st.sampled_from(LEVELS)),
            [
                passage(n + 1, draw(st.floats(4, 16)), draw(st.floats(0.3, 2)), draw(st.booleans()))
                for n in range(draw(st.integers(1, 2)))
            ],
            alike=frozenset(range(count)) - {index} if draw(st.booleans()) else frozenset(),
        )
        for index in range(count)
    ]
    minutes = draw(st.lists(st.integers(0, 70), min_size=1, max_size=5))
    return plan_week(hymns, dict(enumerate(minutes)), len(minutes), HOW)


@settings(max_examples=40, deadline=None)
@given(weeks())
def test_no_day_is_longer_than_its_minutes_and_breaks_are_kept(week: Week) -> None:
    table = load("practice")
    for day in week.days:
        assert day.used_min <= day.minutes
        since = 0
        for step in day.steps:
            since = 0 if isinstance(step, Break) else since + step.minutes
            assert since <= table["time.work_min"]
        assert not day.steps or isinstance(day.steps[-1], Task)


@settings(max_examples=40, deadline=None)
@given(weeks())
def test_parts_come_in_order_and_slowly_before_quickly(week: Week) -> None:
    """Common practice: no part is put together before what it is made of is easy."""
    for (h, p), tasks in by_passage(week).items():
        own = week.hymns[h]
        steps = ladder(own.passages[p], own.way, HOW)
        state, today = start(steps, own.known[p]), 0
        for day, visited in tasks:
            state, today = night(state, HOW, day - today), day
            for task, blocked in visited:
                ready = readiness(steps, state)[0]
                part = steps.parts.index(task.part)
                assert all(ready[k] >= HOW.easy for k in steps.before[part])
                assert task.tempo_share <= task.tempo_until
                assert task.tempo_share == pytest.approx(
                    HOW.tempo_first + (1 - HOW.tempo_first) * ready[part], abs=HOW.tempo_step
                )
                state = played(steps, state, task, blocked)


def played(steps: Any, state: Any, task: Task, blocked: bool) -> Any:
    from suspirium.practice.readiness import practise

    for _ in range(task.minutes // HOW.step_min):
        state, step = practise(steps, state, HOW, minutes=HOW.step_min, blocked=blocked)
        assert steps.parts[int(step.part[0])] == task.part
    return state


def by_passage(week: Week) -> dict[tuple[int, int], list[tuple[int, list[tuple[Task, bool]]]]]:
    """Tasks of every passage day by day; no visit here is ever blocked."""
    found: dict[tuple[int, int], list[tuple[int, list[tuple[Task, bool]]]]] = {}
    for day in week.days:
        for task in day.tasks:
            days = found.setdefault((task.hymn, task.passage), [])
            if not days or days[-1][0] != day.day:
                days.append((day.day, []))
            days[-1][1].append((task, False))
    return found


def visits_of(day: Day) -> list[tuple[int, int]]:
    """The passages of a day's visits, in order, whatever tasks each is made of."""
    found: list[tuple[int, int]] = []
    minutes = 0
    for task in day.tasks:
        if minutes % HOW.visit_min == 0:
            found.append((task.hymn, task.passage))
        minutes += task.minutes
        assert found[-1] == (task.hymn, task.passage)
    return found


@settings(max_examples=40, deadline=None)
@given(weeks())
def test_no_passage_follows_itself_and_none_is_drilled(week: Week) -> None:
    most = load("practice")["time.visits_a_day"]
    for day in week.days:
        visits = visits_of(day)
        assert all(a != b for a, b in pairwise(visits))
        assert all(visits.count(visit) <= most for visit in visits)


@settings(max_examples=40, deadline=None)
@given(weeks())
def test_new_hymns_begin_early_where_there_is_room(week: Week) -> None:
    days = [day for day in week.days if visits_in(day.minutes, HOW)]
    early = days[: (len(days) + 1) // 2]
    new = {index for index, one in enumerate(week.hymns) if one.new}
    if sum(visits_in(day.minutes, HOW) for day in early) >= len(new):
        assert new <= {task.hymn for day in early for task in day.tasks}


def exhaustive(hymns: list[PracticeHymn], minutes: list[int]) -> float:
    """The best mean readiness over every number of visits to every passage on every day,
    tried one by one, under the rules but the early start."""
    most = load("practice")["time.visits_a_day"]
    room = [visits_in(each, HOW) for each in minutes]
    passages = [(h, p) for h, one in enumerate(hymns) for p in range(len(one.passages))]
    ways = list(product(*(range(min(most, each) + 1) for each in room)))
    values = [[value_of(hymns, h, p, way) for way in ways] for h, p in passages]
    counts = np.array(ways)
    best = -np.inf
    for chosen in product(range(len(ways)), repeat=len(passages)):
        taken = counts[list(chosen)]
        total = taken.sum(axis=0)
        if (total > room).any() or (2 * taken > total + 1).any():
            continue
        best = max(best, sum(values[i][way] for i, way in enumerate(chosen)))
    return exp(best)


def value_of(hymns: list[PracticeHymn], h: int, p: int, way: tuple[int, ...]) -> float:
    one = hymns[h]
    steps = ladder(one.passages[p], one.way, HOW)
    state = start(steps, one.known[p])
    for count in way:
        for _ in range(count):
            state, _ = visit(steps, state, HOW)
        state = night(state, HOW, 1)
    seconds = sum(each.seconds for each in one.passages)
    ready = float(readiness(steps, state)[0, steps.whole])
    return one.passages[p].seconds / seconds / len(hymns) * log(ready)


@pytest.mark.parametrize("first", [1, 8])
@pytest.mark.parametrize(
    ("hymns", "minutes"),
    [
        ([hymn()], [8, 12, 8]),
        ([hymn(), hymn("Come, you rivers", "seen", [passage(1, 9.0)])], [8, 12]),
        ([hymn(level="known"), hymn("Now is the hour", "known")], [12, 8]),
        ([hymn(passages=[passage(1)]), hymn("Come", "new", [passage(1, 7)])], [4, 8, 12, 4]),
    ],
)
def test_the_choice_is_the_best_of_all(
    hymns: list[PracticeHymn], minutes: list[int], first: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However few ways the first programme takes in: one each seldom keeps the minutes."""
    monkeypatch.setattr("suspirium.practice.choose._FIRST", first)
    best = exhaustive(hymns, minutes)
    week = plan_week(hymns, dict(enumerate(minutes)), len(minutes), HOW)
    assert week.ready >= 0.99 * best
    assert week.gap <= 0.01


def test_the_same_inputs_give_the_same_week() -> None:
    hymns = [hymn(), hymn("Come, you rivers", "seen"), hymn("Now is the hour", "known")]
    minutes = {0: 20, 1: 30, 3: 16}
    assert plan_week(hymns, minutes, 5) == plan_week(hymns, minutes, 5)
