"""Tempo of each time through: how quick, how steady, whether it drifts."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from math import nan, sqrt

import numpy as np

from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.take.expected import Way
from suspirium.take.pace import Array, Beat, PulseLengths, heard, pulse_lengths, quarter_s
from suspirium.take.report import LineEnd, PulsePoint, StanzaTempo

_SECONDS = 60.0
_PERCENT = 100.0
_LAGS = 4  # intervals over which a late chord is made up for
_STEP = 0.001  # unevennesses weighed lie so far apart
_LEAST = 3  # intervals: two are always on a line


def stanza_tempo(
    row: Sequence[Beat], restarted: Collection[int], stanza: int
) -> StanzaTempo | None:
    """The tempo of one pass, begun again at the `restarted` chords; None with too few notes
    to tell.

    Errors are those of a mean and of a straight line's slope where neighbouring intervals
    depend on each other: a late chord makes one longer and the next one shorter (Newey & West
    1987). Intervals that are badly heard count less.
    """
    length_s = quarter_s(row, restarted)
    seen = pulse_lengths(row, restarted)
    at_q, lengths_s = seen.at_q, seen.pace_s
    if length_s is None or len(at_q) < _LEAST:
        return None
    usual_s = load("take").number("tempo.jnd") * length_s
    weights = seen.long_q * seen.sure / (1 + (seen.error_s / usual_s) ** 2)
    slope, middle = _line(at_q, lengths_s, weights)
    trend = middle + slope * (at_q - np.average(at_q, weights=weights))
    uneven = lengths_s / trend - 1
    spread, spread_error = _unevenness(seen, uneven, seen.error_s / trend)
    span_q = float(at_q.max() - at_q.min())
    away_q = at_q - np.average(at_q, weights=weights)
    shares = weights / weights.sum()
    square = float(shares @ away_q**2)
    begins, ends = middle - slope * span_q / 2, middle + slope * span_q / 2
    return StanzaTempo(
        stanza=stanza,
        quarter_bpm=_SECONDS / length_s,
        drift_percent=_PERCENT * (begins / ends - 1),
        steadiness_percent=_PERCENT * spread,
        error_percent=_PERCENT * _standard_error(uneven * shares),
        drift_error_percent=_PERCENT * span_q * _standard_error(uneven * shares * away_q / square)
        if square
        else nan,
        steadiness_error_percent=_PERCENT * spread_error,
    )


def _unevenness(seen: PulseLengths, uneven: Array, errors: Array) -> tuple[float, float]:
    """The standard deviation of normal deviations that are seen with these standard errors,
    and its own standard error.

    Without errors it is that of the deviations, each weighing as long as it lasts. With them
    every size is weighed by how likely the deviations are with it, those of short intervals
    as much larger as that weighing supposes (each size as probable before); some may be astray
    altogether.
    """
    if not errors.any():
        spread = float(np.sqrt(np.average(uneven**2, weights=seen.long_q)))
        return spread, spread / sqrt(2 * len(uneven))
    most = load("take").number("tempo.unevenness_most")
    larger = np.sqrt(seen.long_q.mean() / seen.long_q)
    sizes = np.arange(_STEP, most, _STEP)
    variance = (sizes[:, None] * larger) ** 2 + errors**2
    near = np.exp(-(uneven**2) / (2 * variance)) / np.sqrt(2 * np.pi * variance)
    told = np.log(seen.sure * near + (1 - seen.sure) / (2 * most * larger)).sum(1)
    chance = np.exp(told - told.max())
    chance /= chance.sum()
    spread = float(chance @ sizes)
    return spread, float(np.sqrt(chance @ (sizes - spread) ** 2))


def _standard_error(parts: Array) -> float:
    """The standard error of a sum of `parts` in order, with Bartlett's weights."""
    square = plain = float(parts @ parts)
    for lag in range(1, min(_LAGS, len(parts) - 1) + 1):
        square += 2 * (1 - lag / (_LAGS + 1)) * float(parts[lag:] @ parts[:-lag])
    return sqrt(max(square, plain / (_LAGS + 1)))


def _line(at_q: Array, lengths_s: Array, weights: Array) -> tuple[float, float]:
    """Slope and mean of the weighted line through the interval lengths."""
    middle_q = np.average(at_q, weights=weights)
    mean_s = float(np.average(lengths_s, weights=weights))
    away = at_q - middle_q
    square = float(np.average(away**2, weights=weights))
    if square == 0:
        return 0.0, mean_s
    return float(np.average(away * (lengths_s - mean_s), weights=weights)) / square, mean_s


def pulse_points(
    plan: LeadingPlan,
    way: Way,
    row: Sequence[Beat],
    restarted: Collection[int],
    stanza: int,
    ends: Iterable[LineEnd] = (),
) -> tuple[PulsePoint, ...]:
    """How far each pulse lies from the plan, once the plan runs at the stanza's own tempo.

    The straight line of played over planned seconds (least squares) takes tempo and
    beginning away; what is left is early (negative) or late. After a line end (of `ends`) where
    a beat was added or lost the plan begins anew: that beat is told of there, and would make
    every other pulse look early or late. Chords that are badly heard count less. Empty after a
    restart, where there is no one row of pulses.
    """
    if len(row) < _LEAST or restarted:
        return ()
    planned_s = np.array([way.clock.seconds(way.chords[beat.chord].onset_q) for beat in row])
    played_s = np.array([beat.onset_s for beat in row])
    least_q = load("take").number("added.least_q")
    broken = [e.phrase for e in ends if e.stanza == stanza and abs(e.added_q) >= least_q]
    after = [[float(beat.phrase >= number) for beat in row] for number in broken]  # 0 is line 1
    design = np.stack([np.ones_like(planned_s), planned_s, *map(np.array, after)], axis=1)
    trust = np.sqrt(heard(row))[:, None]
    fit = np.linalg.lstsq(trust * design, trust[:, 0] * played_s, rcond=None)[0]
    late_s = played_s - design @ fit
    least_sure = load("take").number("sound.least_sure")
    unit_q = plan.pulse.value.unit_q
    first_q = plan.hymn.pickup_q
    return tuple(
        PulsePoint(
            stanza,
            beat.phrase,
            beat.played_q,
            float(late) if beat.sure >= least_sure else nan,
            beat.error_s,
        )
        for beat, late in zip(row, late_s, strict=True)
        if (way.chords[beat.chord].onset_q - first_q) % unit_q == 0
    )
