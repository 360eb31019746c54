"""What a week of practice is made of: passages, parts, tasks, days.

Days are counted from the first day of the week (0); the service is on day `service_day`.
Readiness runs from 0 (never seen) to 1; it ranks and shows a trend, it is no probability.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

Player = Literal["tune", "right", "left", "pedal"]
Part = tuple[Player, ...]
"""Who plays in a task: ("tune",), one hand, the pedal, a pair, or all."""

Way = Literal["all", "manuals", "tune and bass"]
"""How a hymn is played: hands and pedal, hands alone, or its tune and bass alone."""


@dataclass(frozen=True, slots=True)
class Passage:
    """Some lines of a hymn, practised together.

    `seconds` at the goal tempo; `demand` is points of effort a second by player, and
    `manual_demand` the same where the hands alone play all voices; `mind` is what to heed,
    `hard` what is hard here, in plain words.
    """

    first_phrase: int
    last_phrase: int
    start_q: Fraction
    end_q: Fraction
    first_measure: int
    last_measure: int
    seconds: float
    demand: Mapping[Player, float]
    mind: tuple[str, ...] = ()
    hard: str = ""
    manual_demand: Mapping[Player, float] | None = None

    @property
    def name(self) -> str:
        """ "line 3" or "lines 1 and 2"."""
        if self.first_phrase == self.last_phrase:
            return f"line {self.first_phrase}"
        joint = "and" if self.last_phrase == self.first_phrase + 1 else "to"
        return f"lines {self.first_phrase} {joint} {self.last_phrase}"

    def played(self, way: Way) -> Passage:
        """The passage for hands alone: the left hand has the bass, too, or nothing else."""
        if way == "all":
            return self
        demand = dict(self.manual_demand or self.demand)
        if way == "tune and bass":
            bass = self.demand.get("pedal", 0.0) or self.demand.get("left", 0.0)
            demand = {"right": self.demand.get("tune", 0.0), "left": bass}
        else:
            demand.pop("pedal", None)
        return replace(self, demand={**demand, "tune": self.demand.get("tune", 0.0)})


@dataclass(frozen=True, slots=True)
class PracticeHymn:
    """A hymn to be ready: its passages as it is meant to be played, and what is known of it.

    `known` is the state at the start of day 0, one for each passage; `new` hymns begin early
    in the week. `alike` names hymns (by index in the service) so similar that two new ones
    should not meet on one evening. `key` tells the hymn in the running record.
    """

    title: str
    key: str
    passages: tuple[Passage, ...]
    known: tuple[Known, ...]
    way: Way = "all"
    new: bool = False
    alike: frozenset[int] = frozenset()
    stanzas: int = 1


@dataclass(frozen=True, slots=True)
class Trace:
    """What is kept of one part: how ready, and on how many days it was practised; `today` is
    the share of what is missing that today's practice has brought so far."""

    ready: float
    days: int
    today: float = 0.0


Known = Mapping[Part, Trace]
"""What is known of a passage, by part; parts that are missing have never been played."""


@dataclass(frozen=True, slots=True)
class Task:
    """A few minutes on one passage: who plays, how fast, what to mind.

    `tempo_share` of the goal tempo to begin with, `tempo_until` where three clean times in
    a row lead; `repetitions` is how often the passage fits into the minutes.
    """

    hymn: int
    passage: int
    part: Part
    tempo_share: float
    tempo_until: float
    minutes: int
    repetitions: int
    mind: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Break:
    """Minutes away from the console."""

    minutes: int


@dataclass(frozen=True, slots=True)
class Day:
    """One day's sitting: `minutes` there are, `steps` in order, never longer than that."""

    day: int
    minutes: int
    steps: tuple[Task | Break, ...]

    @property
    def tasks(self) -> tuple[Task, ...]:
        """The tasks without the breaks."""
        return tuple(step for step in self.steps if isinstance(step, Task))

    @property
    def used_min(self) -> int:
        """Minutes of tasks and breaks."""
        return sum(step.minutes for step in self.steps)


@dataclass(frozen=True, slots=True)
class Expected:
    """How ready a hymn is expected to be: now, without practice, with this week."""

    now: float
    without: float
    ready: float
    passages: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Simpler:
    """A simpler thing to play accurately instead, with its expected readiness in the same
    minutes."""

    hymn: int
    what: str
    ready: float
    reason: str


@dataclass(frozen=True, slots=True)
class Instead:
    """Another hymn that could be sung, as ready as it will be without practice."""

    title: str
    ready: float


@dataclass(frozen=True, slots=True)
class Week:
    """The days, what they are expected to bring, and what was traded.

    `gap` is the most by which another choice of visits could be better (relative, of the
    mean readiness), as proved.
    """

    hymns: tuple[PracticeHymn, ...]
    service_day: int
    days: tuple[Day, ...]
    expected: tuple[Expected, ...]
    ready: float
    gap: float
    traded: tuple[str, ...]
    simpler: tuple[Simpler, ...] = ()
