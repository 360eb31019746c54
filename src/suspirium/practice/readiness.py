"""Readiness: learnt by repetition, kept over nights, lost over days, carried from parts.

Each part of a passage has two traces. `slow` is what is kept; `fast` is the share of what
is missing that today's practice has brought, never more than one day can bring. A night
turns fast into slow. All functions work on many histories at once: arrays have a row a
history and a column a part.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suspirium.practice.model import Known, Trace
from suspirium.practice.parts import Ladder
from suspirium.practice.settings import Learning

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class State:
    """Traces of a passage's parts in many histories, shape (histories, parts)."""

    slow: Floats
    fast: Floats
    days: Ints

    def __getitem__(self, rows: NDArray[np.bool_] | Ints) -> State:
        return State(self.slow[rows], self.fast[rows], self.days[rows])


@dataclass(frozen=True, slots=True)
class Steps:
    """One step in every history: which part, from which tempo to which, how often."""

    part: Ints
    tempo: Floats
    until: Floats
    repetitions: Floats


def start(ladder: Ladder, known: Known) -> State:
    """What is known of a passage as the one history there is."""
    traces = [known.get(part, Trace(0.0, 0)) for part in ladder.parts]
    return State(
        np.array([[trace.ready for trace in traces]]),
        np.array([[trace.today for trace in traces]]),
        np.array([[trace.days for trace in traces]]),
    )


def kept(ladder: Ladder, state: State) -> Known:
    """The first history as what is known of the passage."""
    columns = state.slow[0].tolist(), state.days[0].tolist(), state.fast[0].tolist()
    return {
        part: Trace(ready, days, today)
        for part, ready, days, today in zip(ladder.parts, *columns, strict=True)
    }


def together(states: list[State]) -> State:
    """Several sets of histories as one."""
    return State(
        np.concatenate([state.slow for state in states]),
        np.concatenate([state.fast for state in states]),
        np.concatenate([state.days for state in states]),
    )


def readiness(ladder: Ladder, state: State) -> Floats:
    """How ready every part is: its own traces and what its parts bring."""
    ready = state.slow + (1 - state.slow) * state.fast
    for k, sources in enumerate(ladder.sources):
        if sources:
            carried = ladder.transfer[k] * ready[:, sources].mean(axis=1)
            ready[:, k] += (1 - ready[:, k]) * carried
    return ready


def next_part(ladder: Ladder, ready: Floats, learning: Learning) -> Ints:
    """The first part in the trade's order that is not easy, but made of what is; else all."""
    easy = ready >= learning.easy
    wanted = ~easy
    for k, before in enumerate(ladder.before):
        wanted[:, k] &= easy[:, before].all(axis=1)
    wanted[:, ladder.whole] = True  # reached only where every part before it is easy
    first: Ints = wanted.argmax(axis=1)
    return first


def tempo_share(ready: Floats, learning: Learning) -> Floats:
    """The tempo for a part so ready, as a share of the goal, on the ladder's steps."""
    share = learning.tempo_first + (1 - learning.tempo_first) * ready
    return np.round(np.floor(share / learning.tempo_step + 1e-9) * learning.tempo_step, 6)


def practise(
    ladder: Ladder, state: State, learning: Learning, *, minutes: float, blocked: bool = False
) -> tuple[State, Steps]:
    """One step of practice on the part that is next; `blocked` right after the same passage."""
    part = next_part(ladder, readiness(ladder, state), learning)
    return practise_part(ladder, state, learning, part, minutes, learning.blocked if blocked else 1)


def practise_part(
    ladder: Ladder,
    state: State,
    learning: Learning,
    part: Ints,
    minutes: float,
    worth: float = 1.0,
) -> tuple[State, Steps]:
    """So many minutes on this part, each repetition worth so much of one that lasts."""
    rows = np.arange(len(part))
    tempo = tempo_share(readiness(ladder, state)[rows, part], learning)
    repetitions = 60 * minutes / (ladder.seconds / tempo + learning.between_s)
    rate = worth * learning.rate * learning.pace / np.array(ladder.demand)[part]
    left = np.maximum(0.0, learning.day_share - state.fast[rows, part])
    fast = state.fast.copy()
    fast[rows, part] += left * (1 - np.exp(-rate * repetitions))
    done = State(state.slow, fast, state.days)
    until = tempo_share(readiness(ladder, done)[rows, part], learning)
    return done, Steps(part, tempo, until, repetitions)


def night(state: State, learning: Learning, nights: int = 1, *, gain: float | None = None) -> State:
    """After so many nights: what was gained is kept, and what is kept is slowly lost.

    What was never practised (a part read at sight) is not lost. `gain` is that of the first
    night where something took it away.
    """
    if nights == 0:
        return state
    gained = np.minimum(1.0, state.fast * (learning.night_gain if gain is None else gain))
    slow = state.slow + (1 - state.slow) * gained
    days = state.days + (state.fast > 0)
    half_lives = np.array([np.inf, *learning.first_days, learning.settled_days])
    half_life = half_lives[np.minimum(days, len(half_lives) - 1)]
    return State(slow * np.exp2(-nights / half_life), np.zeros_like(slow), days)


def visit(
    ladder: Ladder,
    state: State,
    learning: Learning,
    *,
    blocked: bool = False,
    share: float = 1.0,
) -> tuple[State, list[Steps]]:
    """One visit to the passage: a few steps in a row, each of this share of its minutes."""
    steps: list[Steps] = []
    for _ in range(learning.visit_steps):
        state, step = practise(
            ladder, state, learning, minutes=share * learning.step_min, blocked=blocked
        )
        steps.append(step)
    return state, steps
