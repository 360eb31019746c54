"""The running record of a hymn, and what is known of it by all that was done.

Days are ordinals (1 is the first day of year 1), so that a record runs over years.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from suspirium.practice import means
from suspirium.practice.known import at_sight, known_as
from suspirium.practice.model import Known, Part, Passage, PracticeHymn, Trace, Way
from suspirium.practice.parts import Ladder, ladder
from suspirium.practice.readiness import State, kept, night, practise_part, readiness, start
from suspirium.practice.settings import Learning
from suspirium.tables import load


@dataclass(frozen=True, slots=True)
class Said:
    """The organist says how well she knows the hymn: new, seen, known, secure."""

    day: int
    level: str


@dataclass(frozen=True, slots=True)
class Done:
    """A task was done: minutes on one part of some lines; `went` is clean or faulty."""

    day: int
    first_phrase: int
    last_phrase: int
    part: Part
    minutes: float
    went: str = "clean"


@dataclass(frozen=True, slots=True)
class Heard:
    """A take was heard, or the hymn was sung in a service: how ready each stretch of lines is,
    as (first line, last line, readiness)."""

    day: int
    stretches: tuple[tuple[int, int, float], ...]
    sung: bool = False


Event = Said | Done | Heard


def known_by(
    passages: Sequence[Passage], way: Way, events: Iterable[Event], today: int, how: Learning
) -> tuple[Known, ...]:
    """What is known of each passage today, by the record from its first day on."""
    past = in_order(events, today)
    return tuple(_Replay(passage, way, how).run(past, today) for passage in passages)


def in_order(events: Iterable[Event], today: int) -> list[Event]:
    """Events until today, by day; on one day what was said comes first."""
    past = [event for event in events if event.day <= today]
    return sorted(past, key=lambda event: (event.day, not isinstance(event, Said)))


def ready_now(hymn: PracticeHymn, how: Learning) -> float:
    """How ready the whole hymn is, as it is known."""
    found = []
    for passage, known in zip(hymn.passages, hymn.known, strict=True):
        steps = ladder(passage, hymn.way, how)
        found.append(float(readiness(steps, start(steps, known))[0, steps.whole]))
    return means.of_hymn(hymn, found, how)


class _Replay:
    """One passage played through its record in the model."""

    def __init__(self, passage: Passage, way: Way, how: Learning) -> None:
        self._passage, self._way, self._how = passage, way, how
        self._steps: Ladder = ladder(passage, way, how)
        self.state: State = start(self._steps, at_sight(passage, way, how))
        self.surprises: list[tuple[float, float]] = []  # expected and heard

    def run(self, events: Sequence[Event], today: int) -> Known:
        """The state on the evening of `today`, before its night."""
        day = events[0].day if events else today
        for event in events:
            self.state = night(self.state, self._how, event.day - day)
            day = event.day
            self._take_in(event)
        self.state = night(self.state, self._how, today - day)
        return kept(self._steps, self.state)

    def _take_in(self, event: Event) -> None:
        if isinstance(event, Said):
            known = known_as(event.level, self._passage, self._way, self._how)
            self.state = start(self._steps, known)
        elif isinstance(event, Heard):
            self._hear(event)
        elif event.part in self._steps.parts and self._touches(event):
            part = np.array([self._steps.parts.index(event.part)])
            worth = float(load("practice")["went"][event.went])
            self.state, _ = practise_part(
                self._steps, self.state, self._how, part, event.minutes * self._share(event), worth
            )

    def _touches(self, event: Done) -> bool:
        return (
            event.first_phrase <= self._passage.last_phrase
            and self._passage.first_phrase <= event.last_phrase
        )

    def _share(self, event: Done) -> float:
        """The part of the minutes that fell to this passage."""
        own = {*range(self._passage.first_phrase, self._passage.last_phrase + 1)}
        lines = range(event.first_phrase, event.last_phrase + 1)
        return len(own.intersection(lines)) / len(lines)

    def _hear(self, event: Heard) -> None:
        """The whole is as ready as heard, to the weight that a take has."""
        own = [
            ready
            for first, last, ready in event.stretches
            if first <= self._passage.last_phrase and self._passage.first_phrase <= last
        ]
        if not own:
            return
        heard = sum(own) / len(own)
        whole = self._steps.whole
        expected = float(readiness(self._steps, self.state)[0, whole])
        self.surprises.append((expected, heard))
        weight = load("practice").number("take.weight")
        ready = (1 - weight) * expected + weight * heard
        traces = dict(kept(self._steps, self.state))
        days = traces[self._steps.parts[whole]].days
        traces[self._steps.parts[whole]] = Trace(self._bare(ready), max(1, days))
        self.state = start(self._steps, traces)

    def _bare(self, ready: float) -> float:
        """The whole's own trace that, with what its parts bring, comes to `ready`."""
        fresh = self.state.slow.copy()
        fresh[0, self._steps.whole] = 0
        state = State(fresh, self.state.fast * 0, self.state.days)
        carried = float(readiness(self._steps, state)[0, self._steps.whole])
        return max(0.0, (ready - carried) / max(1e-9, 1 - carried))


def pace_of(
    records: Iterable[tuple[Sequence[Passage], Way, Iterable[Event]]], today: int, how: Learning
) -> float:
    """How quickly this player learns beside the table's pace, by all takes in the records.

    Each take compares what was heard with what was expected, as repetitions it would have
    needed; the table's pace weighs as much as some takes.
    """
    table = load("practice")
    low, high = table["pace.range"]
    total, takes = 0.0, 0.0
    for passages, way, events in records:
        past = in_order((e for e in events if not (isinstance(e, Heard) and e.sung)), today)
        for passage in passages:
            replay = _Replay(passage, way, how)
            replay.run(past, today)
            total += sum(_ratio(*pair, how.floor) for pair in replay.surprises) / len(passages)
            takes += len(replay.surprises) / len(passages)
    return float(min(high, max(low, exp(total / (takes + table.number("pace.prior"))))))


def _ratio(expected: float, heard: float, floor: float) -> float:
    """Logarithm of how many times the expected practice the heard readiness stands for."""
    expected, heard = (min(1 - floor, max(floor, value)) for value in (expected, heard))
    return log(log(1 - heard) / log(1 - expected))
