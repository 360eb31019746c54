"""When a chord really begins: every time weighed by what its keys add to what was foretold.

Before a chord, each narrow band holds what keys still held and the room make of it, which can
be foretold for some hundredths of a second; at the onset the error of prediction jumps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.signal import fftconvolve
from scipy.special import logsumexp

from suspirium.tables import load
from suspirium.take.sound.answer import rise
from suspirium.take.sound.bands import Array, Floats
from suspirium.take.sound.looking import Looking
from suspirium.take.sound.partials import frequencies, partials, vectors
from suspirium.take.sound.stray import with_strays

_TINY = 1e-14


@dataclass(frozen=True, slots=True)
class Onset:
    """Seconds at which a chord began, and their standard error; the probability that it was
    about then, and the standard error if it was."""

    at_s: float
    error_s: float
    sure: float
    near_error_s: float


def onset(
    sound: Floats,
    near_s: float,
    entering: Sequence[int],
    before: Sequence[int],
    cents: float,
    rt_s: float,
) -> Onset | None:
    """When `entering` keys begin near `near_s`, while `before` were sounding.

    The errors of prediction in each of their bands are exponentially distributed in power
    (sound from everywhere); their mean rises as a pipe speaks and a room of `rt_s` fills, by a
    level and within a time of chance. None where too little of a band is heard.
    """
    hz = _high_enough(partials(entering, cents, before))
    if not len(hz):
        return None
    seen = _look(sound, near_s, hz)
    told = with_strays(_told(seen, near_s, rt_s))
    voices = np.stack([told[:, own].sum(1) for own in _by_key(hz, entering, cents)], axis=1)
    voices = with_strays(voices, chance=load("take").number("sound.stray_key_chance"))
    times_s = seen.times_s[seen.feet]
    away = (times_s - near_s) / load("take").number("sound.onset_spread_s")
    return _middle(times_s, voices.sum(1) - away**2 / 2)


@dataclass(frozen=True, slots=True)
class _Looks:
    """Looks around an onset: their times, powers of errors (looks, bands) and what they are
    before it, what the bands' powers rise by, the predictors, and where an onset may lie."""

    looking: Looking
    times_s: Array
    error: Array
    usual: Array
    risen: Array
    weights: npt.NDArray[np.complex128]
    feet: npt.NDArray[np.int_]
    late: npt.NDArray[np.bool_]


def _look(sound: Floats, near_s: float, hz: Array) -> _Looks:
    table, looking = load("take"), Looking.at_onsets()
    reach_s, before_s, after_s = (
        table.number(f"sound.onset_{name}_s") for name in ("reach", "before", "after")
    )
    start_s, stop_s = near_s - reach_s - before_s, near_s + reach_s + after_s
    times_s, seen = vectors(sound, start_s, stop_s, hz, looking.window_s, looking.step)
    past, now = looking.history(seen)
    times_s = times_s[looking.used :]
    learnt = int((times_s < near_s - reach_s).sum())
    weights = looking.weights([(past[:learnt], now[:learnt])])
    error = np.abs(now - np.einsum("njb,bj->nb", past, weights)) ** 2
    power, late = np.abs(now) ** 2, times_s > near_s + after_s
    last = power[late].mean(0)
    usual = table.number("sound.onset_unlearnt") * error[:learnt].mean(0)
    usual = np.maximum(usual, table.number("sound.onset_floor") * last) + _TINY
    feet = np.flatnonzero(np.abs(times_s - near_s) < reach_s)
    risen = np.maximum(0, last - power[:learnt].mean(0))
    return _Looks(looking, times_s, error, usual, risen, weights, feet, late)


def _told(seen: _Looks, near_s: float, rt_s: float) -> Array:
    """Logarithms of how likely the errors are with an onset at each foot: (feet, bands)."""
    table, step_s = load("take"), seen.looking.step_s
    first = max(0, int(seen.feet[0]) - round(seen.looking.window_s / step_s))
    feet, error = seen.feet - first, seen.error[first:]
    after_s = np.arange(-int(feet[-1]), len(error) - int(feet[0])) * step_s
    told = []
    for speaks_s in table["sound.onset_ramps_s"]:
        trace, share = rise(seen.weights, seen.looking, rt_s, float(speaks_s))
        filled = np.interp(seen.times_s[seen.late] - near_s, trace.after_s, share).mean()
        more = trace.at(after_s) * seen.risen / filled
        for level_db in table["sound.onset_db"]:
            mean = seen.usual + 10 ** (float(level_db) / 10) * more
            told.append(_log_chances(error, feet, mean))
    return np.asarray(logsumexp(told, axis=0))


def _log_chances(error: Array, feet: npt.NDArray[np.int_], mean: Array) -> Array:
    """Logarithms of how likely the errors are with an onset at each of `feet`: (feet, bands).

    `mean` are powers expected from as many steps before an onset as the last foot has.
    """
    count = len(error)
    begin = int(feet[-1]) - feet
    logs = np.concatenate([np.zeros((1, mean.shape[1])), np.cumsum(np.log(mean), axis=0)])
    weighed = fftconvolve(1 / mean, error[::-1], mode="valid", axes=0)[begin]
    told = -(logs[begin + count] - logs[begin]) - weighed
    return np.asarray(load("take").number("sound.onset_alike") * told)


def _high_enough(hz: Array) -> Array:
    """Low partials are left out where there are others: windows hardly see them turn."""
    high = hz > load("take").number("sound.onset_lowest_hz")
    return hz[high] if high.any() else hz


def _by_key(hz: Array, keys: Sequence[int], cents: float) -> list[npt.NDArray[np.bool_]]:
    """Which bands are whose; a band of two keys is the first one's."""
    left, found = np.ones(len(hz), dtype=bool), []
    for key in keys:
        own = left & np.isin(hz, frequencies([key], cents))
        left &= ~own
        if own.any():
            found.append(own)
    return found


def _middle(times_s: Array, told: Array) -> Onset:
    """The mean around the likeliest time, and the spread of all around it."""
    chance = np.exp(told - told.max())
    chance /= chance.sum()
    near = np.abs(times_s - times_s[chance.argmax()]) < load("take").number("sound.about_s") / 2
    sure = float(chance[near].sum())
    at_s = float(chance[near] @ times_s[near]) / sure
    square = (times_s - at_s) ** 2
    near_s = np.sqrt(chance[near] @ square[near] / sure)
    return Onset(at_s, float(np.sqrt(chance @ square)), sure, float(near_s))
