"""When a chord really begins: every time weighed by how the power of its partials rises."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.signal import fftconvolve
from scipy.special import logsumexp

from suspirium.tables import load
from suspirium.take.sound.answer import rise
from suspirium.take.sound.bands import RATE, Array, Floats
from suspirium.take.sound.partials import partials, vectors
from suspirium.take.sound.stray import with_strays

_TINY = 1e-14


@dataclass(frozen=True, slots=True)
class Onset:
    """Seconds at which a chord began, and their standard error."""

    at_s: float
    error_s: float


def onset(
    sound: Floats,
    near_s: float,
    entering: Sequence[int],
    before: Sequence[int],
    cents: float,
    rt_s: float,
) -> Onset | None:
    """When `entering` keys begin near `near_s`, while `before` were sounding.

    The power in each of their bands is exponentially distributed (sound from everywhere); its
    mean rises as a pipe speaks and a room of `rt_s` fills, by a level of chance. None where
    nothing rises.
    """
    table = load("take")
    hz = _high_enough(partials(entering, cents, before))
    if not len(hz):
        return None
    reach_s, before_s, after_s = (
        table.number(f"sound.onset_{name}_s") for name in ("reach", "before", "after")
    )
    step_s, window_s = table.number("sound.onset_step_s"), table.number("sound.onset_window_s")
    times_s, seen = vectors(
        sound,
        near_s - reach_s - before_s,
        near_s + reach_s + after_s,
        hz,
        window_s,
        round(step_s * RATE),
    )
    power = np.abs(seen) ** 2
    feet = np.flatnonzero(np.abs(times_s - near_s) < reach_s)
    late = times_s > near_s + after_s
    last = power[late].mean(0)
    quiet = power[times_s < near_s - reach_s + before_s / 4].mean(0)
    quiet = np.maximum(quiet, table.number("sound.onset_floor") * last) + _TINY
    levels = 10 ** (np.array(table["sound.onset_db"], dtype=float) / 10)
    found = []
    for ramp_s in table["sound.onset_ramps_s"]:
        at_s, share = rise(round(rt_s, 1), float(ramp_s), window_s)
        usual = np.interp(times_s[late] - near_s, at_s, share).mean()
        steps_s = np.arange(-int(feet[-1]), len(times_s) - int(feet[0])) * step_s
        risen = np.interp(steps_s, at_s, share)[:, None] * np.maximum(0, last - quiet) / usual
        told = [_log_chances(power, feet, quiet + level * risen) for level in levels]
        found.append(with_strays(logsumexp(told, axis=0)).sum(1))
    away = (times_s[feet] - near_s) / table.number("sound.onset_spread_s")
    return _middle(times_s[feet], logsumexp(found, axis=0) - away**2 / 2)


def _high_enough(hz: Array) -> Array:
    """Low partials are left out where there are others: windows hardly see them turn."""
    high = hz > load("take").number("sound.onset_lowest_hz")
    return hz[high] if high.any() else hz


def _log_chances(power: Array, feet: npt.NDArray[np.int_], mean: Array) -> Array:
    """Logarithms of how likely the power is with an onset at each of `feet`: (feet, bands).

    `mean` are powers expected from as many steps before an onset as the last foot has.
    """
    count = len(power)
    begin = int(feet[-1]) - feet
    logs = np.concatenate([np.zeros((1, mean.shape[1])), np.cumsum(np.log(mean), axis=0)])
    weighed = fftconvolve(1 / mean, power[::-1], mode="valid", axes=0)[begin]
    told = -(logs[begin + count] - logs[begin]) - weighed
    return np.asarray(load("take").number("sound.onset_alike") * told)


def _middle(times_s: Array, told: Array) -> Onset:
    """The mean around the likeliest time, and the spread of all around it."""
    chance = np.exp(told - told.max())
    chance /= chance.sum()
    near = np.abs(times_s - times_s[chance.argmax()]) < load("take").number("sound.about_s") / 2
    at_s = float(chance[near] @ times_s[near] / chance[near].sum())
    return Onset(at_s, float(np.sqrt(chance @ (times_s - at_s) ** 2)))
