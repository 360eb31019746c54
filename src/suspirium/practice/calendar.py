"""A planned week on the calendar: dates, hymns by name, and the tasks of today by number."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from suspirium.practice.model import Task, Week
from suspirium.practice.settings import Learning


@dataclass(frozen=True, slots=True)
class Named:
    """What a hymn is called, where its score is, and the tempo it is to reach.

    `unit_q` is the pulse, `score` the file or name that was given.
    """

    title: str
    tune: str
    score: str
    digest: str
    quarter_bpm: float
    unit_q: Fraction

    @property
    def pulse_bpm(self) -> float:
        """Pulses a minute at the goal tempo."""
        return self.quarter_bpm / float(self.unit_q)


@dataclass(frozen=True, slots=True)
class Listed:
    """A task of a day by its number, and whether it is done."""

    number: int
    task: Task
    done: bool = False


@dataclass(frozen=True, slots=True)
class Calendar:
    """A week from `first` (day 0) to the service.

    `today` are the tasks of day 0 as they were first shown, with those that are done;
    `week` holds the days, `how` the numbers it was made with, `pace` how quickly this player
    learns, by her takes.
    """

    week: Week
    first: date
    service: date
    hymns: tuple[Named, ...]
    today: tuple[Listed, ...]
    how: Learning
    pace: float = 1.0

    def date_of(self, day: int) -> date:
        """The date of a day of the week."""
        return self.first + timedelta(days=day)

    def listed(self, day: int) -> tuple[Listed, ...]:
        """The tasks of a day by number."""
        if day == 0:
            return self.today
        tasks = next((each.tasks for each in self.week.days if each.day == day), ())
        return tuple(Listed(number, task) for number, task in enumerate(tasks, 1))
