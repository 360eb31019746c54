"""The pace of a take: chord onsets, tempo, and beats added or lost between lines."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import hypot
from statistics import median

import numpy as np
import numpy.typing as npt

from suspirium.plan.clock import StanzaClock
from suspirium.tables import load
from suspirium.take.expected import Way
from suspirium.take.model import TakeNote
from suspirium.take.told import PlayedPass

Array = npt.NDArray[np.float64]

_ROUNDS = 12  # of reweighting; the weights settle in fewer
_SETTLED = 1e-4  # changes of weights that make none in what is told


@dataclass(frozen=True, slots=True)
class Beat:
    """A chord as played: its place in its way, its played quarter, its onset in seconds, the
    standard error of that (0: keys tell it themselves) and the probability that it was about
    then at all."""

    chord: int
    played_q: float
    phrase: int
    onset_s: float
    error_s: float = 0.0
    sure: float = 1.0


@dataclass(frozen=True, slots=True)
class Step:
    """A break in an otherwise even row: seconds it comes late, its standard error, and the
    seconds of a quarter around it."""

    late_s: float
    error_s: float
    quarter_s: float


def beats(way: Way, played: PlayedPass, notes: Sequence[TakeNote]) -> tuple[Beat, ...]:
    """The chords of a pass with the median onset of their keys; chords without any are left
    out. Where the plan broadens, its quarters count for as much more."""
    found = []
    for chord in played.chords:
        onsets = [notes[matched.note].onset_s for matched in chord.matched]
        if onsets:
            score = way.chords[chord.index]
            at_q = broadened_q(way.clock, score.onset_q)
            found.append(Beat(chord.index, at_q, score.phrase, median(onsets)))
    return tuple(found)


def broadened_q(clock: StanzaClock, played_q: Fraction) -> float:
    """Quarters from the stanza's first note; those of its broadening count for as much more."""
    return float(played_q) + clock.slower * float(max(Fraction(0), played_q - clock.slower_from_q))


def quarter_s(row: Sequence[Beat], restarted: Collection[int] = ()) -> float | None:
    """Seconds of a quarter inside the lines: all their intervals together.

    `restarted` are chords before which the player had stopped. None without an interval.
    """
    pairs = list(_inside(row, restarted))
    if not pairs:
        return None
    played_q = sum(after.played_q - before.played_q for before, after in pairs)
    return sum(after.onset_s - before.onset_s for before, after in pairs) / played_q


@dataclass(frozen=True, slots=True)
class PulseLengths:
    """The intervals inside lines: where (played quarters) and how long (quarters) they are,
    seconds a quarter with their standard errors, and how probably these are right."""

    at_q: Array
    long_q: Array
    pace_s: Array
    error_s: Array
    sure: Array


def pulse_lengths(row: Sequence[Beat], restarted: Collection[int] = ()) -> PulseLengths:
    """The intervals inside lines; `restarted` are chords before which the player had stopped."""
    pairs = list(_inside(row, restarted))
    long_q = np.array([b.played_q - a.played_q for a, b in pairs])
    return PulseLengths(
        np.array([(a.played_q + b.played_q) / 2 for a, b in pairs]),
        long_q,
        np.array([b.onset_s - a.onset_s for a, b in pairs]) / long_q,
        np.array([hypot(a.error_s, b.error_s) for a, b in pairs]) / long_q,
        np.array([a.sure * b.sure for a, b in pairs]),
    )


def _inside(row: Sequence[Beat], restarted: Collection[int]) -> list[tuple[Beat, Beat]]:
    return [
        (before, after)
        for before, after in pairwise(row)
        if before.phrase == after.phrase and after.chord not in restarted
    ]


def step_between(before: Sequence[Beat], after: Sequence[Beat]) -> Step | None:
    """How late `after` begins, had it gone on evenly from `before`.

    Two parallel lines of onset over score time: their distance is the time added. The line's
    last chords and the next one's first are the hardest to place; where leaving some of them
    out brings the others into step, they are left out. None with too few chords to tell the
    tempo.
    """
    table = load("take")
    reach_q = table.number("tempo.reach_q")
    near = [b for b in before if before[-1].played_q - b.played_q <= reach_q]
    far = [b for b in after if b.played_q - after[0].played_q <= reach_q]
    if len(near) + len(far) < table["tempo.least_chords"] or (len(near) < 2 and len(far) < 2):
        return None
    plain = _parallel(near, far)
    step_s = table.number("added.in_step_q") * plain.slope_s
    if plain.astray(near, far, step_s) <= len(near) + len(far):
        return plain.step
    most = int(table["added.astray_most"])
    fits = [
        _parallel(near[: len(near) - less], far[more:])
        for less in range(min(most, len(near) - 2) + 1)
        for more in range(min(most, len(far) - 2) + 1)
    ]
    return min((plain, *fits), key=lambda fit: fit.astray(near, far, step_s)).step


@dataclass(frozen=True, slots=True)
class _Fit:
    """Two parallel lines: where the first is at quarter 0, seconds a quarter, seconds between
    the lines and the standard error of these."""

    start_s: float
    slope_s: float
    late_s: float
    error_s: float

    @property
    def step(self) -> Step:
        return Step(self.late_s, self.error_s, self.slope_s)

    def astray(self, near: Sequence[Beat], far: Sequence[Beat], step_s: float) -> float:
        """How badly all chords keep to the lines, a chord that is no part of them only so far."""
        late = [*(0.0 for _ in near), *(self.late_s for _ in far)]
        worst = load("take").number("added.astray") ** 2
        return sum(
            min(
                worst,
                ((b.onset_s - self.start_s - self.slope_s * b.played_q - more) / step_s) ** 2,
            )
            for b, more in zip((*near, *far), late, strict=True)
        )


def heard(chords: Sequence[Beat]) -> Array:
    """How much each chord counts by how well it was heard: 1 for keys."""
    usual_s = load("take").number("tempo.usual_error_s")
    return np.array([b.sure / (1 + (b.error_s / usual_s) ** 2) for b in chords])


def _median(values: Array) -> float:
    """The median of a few values, quicker than for any number of axes."""
    ordered = np.sort(values)
    half = len(ordered) // 2
    return float(ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2)


def _parallel(near: Sequence[Beat], far: Sequence[Beat]) -> _Fit:
    """Least squares with Huber's weights (Huber 1964, Robust estimation of a location
    parameter): one slope from both rows, each around its own weighted mean. Chords that are
    badly heard count less."""
    rows = [
        (np.array([b.played_q for b in row]), np.array([b.onset_s for b in row]))
        for row in (near, far)
    ]
    (near_q, near_s), (far_q, far_s) = rows
    table = load("take")
    huber, least_s = table.number("tempo.huber"), table.number("tempo.least_spread_s")
    weights = own_weights = heard((*near, *far))
    for _ in range(_ROUNDS):
        own, other = weights[: len(near_q)], weights[len(near_q) :]
        near_sum, far_sum = float(own.sum()), float(other.sum())
        near_mean_q, near_mean_s = float(own @ near_q) / near_sum, float(own @ near_s) / near_sum
        far_mean_q, far_mean_s = float(other @ far_q) / far_sum, float(other @ far_s) / far_sum
        apart_q = np.concatenate([near_q - near_mean_q, far_q - far_mean_q])
        apart_s = np.concatenate([near_s - near_mean_s, far_s - far_mean_s])
        weighted_q = weights * apart_q
        spread_q = float(weighted_q @ apart_q)
        slope_s = float(weighted_q @ apart_s) / spread_q
        residual = apart_s - slope_s * apart_q
        away = np.abs(residual)
        spread_s = max(least_s, 1.4826 * _median(away))
        before, weights = (
            weights,
            own_weights * np.minimum(1.0, huber * spread_s / np.maximum(away, 1e-9)),
        )
        if np.abs(weights - before).max() < _SETTLED:
            break
    free = max(1, len(weights) - 3)
    variance = max(least_s**2, float(weights @ residual**2) / free)
    between_q = far_mean_q - near_mean_q
    return _Fit(
        near_mean_s - slope_s * near_mean_q,
        slope_s,
        far_mean_s - near_mean_s - slope_s * between_q,
        float(np.sqrt(variance * (1 / near_sum + 1 / far_sum + between_q**2 / spread_q))),
    )
