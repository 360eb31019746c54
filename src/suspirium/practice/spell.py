"""Spelling out the chosen visits: every day's tasks in order, and what they bring."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from suspirium.practice.model import Break, Part, Passage, PracticeHymn, Task
from suspirium.practice.parts import Ladder, ladder
from suspirium.practice.readiness import Ints, State, Steps, night, readiness, start, visit
from suspirium.practice.rules import Frame, new_and_alike
from suspirium.practice.settings import Learning
from suspirium.practice.sitting import Visit, in_order, visits_before_break
from suspirium.tables import load


@dataclass(frozen=True, slots=True)
class Spelled:
    """Steps by day; readiness of every passage on the day, with the week and without, and now."""

    steps: Mapping[int, tuple[Task | Break, ...]]
    ready: Mapping[Visit, float]
    without: Mapping[Visit, float]
    now: Mapping[Visit, float]


def lay_out(
    hymns: Sequence[PracticeHymn],
    visits: Sequence[Visit],
    week: Frame,
    counts: Ints,
    how: Learning,
) -> Spelled:
    """The tasks of `counts` visits (passages, days), played through in the model."""
    ladders = {v: ladder(hymns[v[0]].passages[v[1]], hymns[v[0]].way, how) for v in visits}
    states = {v: start(ladders[v], hymns[v[0]].known[v[1]]) for v in visits}
    now = {v: _whole(ladders[v], states[v]) for v in visits}
    ends = {v: night(states[v], how, week.service_day) for v in visits}
    without = {v: _whole(ladders[v], ends[v]) for v in visits}
    steps: dict[int, tuple[Task | Break, ...]] = {}
    today = 0
    begun: set[int] = set()
    unsettled: set[int] = set()
    for index, day in enumerate(week.days):
        states = _nights(states, how, day - today, unsettled)
        today = day
        wanted = {v: int(counts[i, index]) for i, v in enumerate(visits)}
        order = in_order(wanted, _pressing(hymns, visits, ladders, states))
        tasks: list[list[Task]] = []
        for number, v in enumerate(order):
            blocked = number > 0 and order[number - 1] == v
            states[v], taken = visit(ladders[v], states[v], how, blocked=blocked)
            tasks.append(_tasks(v, hymns[v[0]].passages[v[1]], ladders[v], taken, how))
        steps[day] = tuple(_with_breaks(tasks, how))
        fresh = {hymn for hymn, _ in order} - begun
        begun |= fresh
        unsettled = {h for pair in new_and_alike(hymns) if fresh >= {*pair} for h in pair}
    states = _nights(states, how, week.service_day - today, unsettled)
    ready = {v: _whole(ladders[v], states[v]) for v in visits}
    return Spelled(steps, ready, without, now)


def _nights(
    states: Mapping[Visit, State], how: Learning, nights: int, unsettled: Container[int]
) -> dict[Visit, State]:
    """All passages some nights later; similar hymns begun on one evening gain nothing."""
    return {
        v: night(state, how, nights, gain=how.alike_gain if v[0] in unsettled else None)
        for v, state in states.items()
    }


def _whole(steps: Ladder, state: State) -> float:
    return float(readiness(steps, state)[0, steps.whole])


def _pressing(
    hymns: Sequence[PracticeHymn],
    visits: Sequence[Visit],
    ladders: Mapping[Visit, Ladder],
    states: Mapping[Visit, State],
) -> list[int]:
    """The hymns, the least ready first: what is hard is practised while one is fresh."""
    least = {
        h: min(_whole(ladders[v], states[v]) for v in visits if v[0] == h)
        for h in range(len(hymns))
        if hymns[h].passages
    }
    return sorted(least, key=lambda h: (round(least[h], 6), h))


def _with_breaks(tasks: Sequence[Sequence[Task]], how: Learning) -> list[Task | Break]:
    most = visits_before_break(how)
    pause = Break(int(load("practice")["time.break_min"]))
    found: list[Task | Break] = []
    for number, own in enumerate(tasks):
        if number and number % most == 0:
            found.append(pause)
        found.extend(own)
    return found


def _tasks(
    v: Visit, passage: Passage, steps: Ladder, taken: Sequence[Steps], how: Learning
) -> list[Task]:
    """The steps of a visit, those on the same part joined into one task."""
    found = []
    for part, same in groupby(taken, key=lambda step: int(step.part[0])):
        own = list(same)
        often = sum(float(step.repetitions[0]) for step in own)
        found.append(
            Task(
                hymn=v[0],
                passage=v[1],
                part=steps.parts[part],
                tempo_share=float(own[0].tempo[0]),
                tempo_until=float(own[-1].until[0]),
                minutes=how.step_min * len(own),
                repetitions=max(1, round(often)),
                mind=_mind(steps.parts[part], passage),
            )
        )
    return found


def _mind(part: Part, passage: Passage) -> tuple[str, ...]:
    """What to mind: the words first, then lifts, gap and pickup, last what is hard here."""
    if part == ("tune",):
        return ("say the words aloud, then sing them with the tune", *passage.mind)
    hard = (passage.hard,) if passage.hard and len(part) > 1 else ()
    return (*passage.mind, *hard)
