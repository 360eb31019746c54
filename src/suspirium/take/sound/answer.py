"""How a diffuse room answers to tones that begin and end, seen through short windows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import signal

from suspirium.tables import load
from suspirium.take.sound.bands import Array
from suspirium.take.sound.looking import Looking
from suspirium.take.sound.partials import Vectors

_GRID_S = 0.001
_BEFORE_S = 0.06  # looks reach ahead by half a window
_LONGEST_S = 2.5
_KEPT = 16


@dataclass(frozen=True, slots=True)
class Trace:
    """Powers of errors (times, bands) against the power of the tone that is let go or struck,
    at seconds after that."""

    after_s: Array
    power: Array

    def at(self, after_s: npt.NDArray[np.floating[Any]]) -> Array:
        """The powers at these seconds after the event, (times, bands)."""
        return np.stack([np.interp(after_s, self.after_s, row) for row in self.power.T], axis=1)


def trace(weights: Vectors, looking: Looking, rt_s: float) -> Trace:
    """What a release leaves in the errors of bands foretold with these `weights`.

    The tone comes straight, and from everywhere after an exponential delay, with phases of
    chance. The error of a look is the look less its prediction, so its power is a quadratic
    form of the shares of the tone that this look and those before still see.
    """
    table = load("take")
    change = _Change(table.number("sound.fall_s"), table.number("sound.direct_share"), True)
    after_s, power, _ = _errors(weights, looking, rt_s, change)
    decay = np.exp(-_energy_decay(rt_s) * np.maximum(after_s, 0))
    return Trace(after_s, np.maximum(power - power[0] * decay[:, None], 1e-9))


def rise(weights: Vectors, looking: Looking, rt_s: float, speaks_s: float) -> tuple[Trace, Array]:
    """What an onset leaves there, of a tone that takes `speaks_s` to speak; and the share of
    its power in the end that a look sees at the same seconds after the onset."""
    direct = load("take").number("sound.onset_direct")
    after_s, power, seen = _errors(weights, looking, rt_s, _Change(speaks_s, direct, False))
    return Trace(after_s, power), seen


@dataclass(frozen=True, slots=True)
class _Change:
    """A tone that `ends`, or begins, evenly within `takes_s`; a share `direct` of its power
    comes straight."""

    takes_s: float
    direct: float
    ends: bool


def _errors(
    weights: Vectors, looking: Looking, rt_s: float, change: _Change
) -> tuple[Array, Array, Array]:
    """Seconds after the change, powers of errors (times, bands), and of the looks (times,)."""
    after_s, seen = _seen_together(looking, round(rt_s, 1), change)
    form = np.concatenate([np.ones((len(weights), 1)), -weights], axis=1)
    power = np.einsum("bj,ujk,bk->ub", form.conj(), seen, form, optimize=True).real
    return after_s, np.asarray(power), np.asarray(seen[:, 0, 0])


def _energy_decay(rt_s: float) -> float:
    """Nepers a second: 60 dB in `rt_s`."""
    return float(6 * np.log(10) / rt_s)


@lru_cache(maxsize=_KEPT)
def _seen_together(looking: Looking, rt_s: float, change: _Change) -> tuple[Array, Array]:
    """Seconds after a change, and the power that each two of a look and those it is foretold
    from see together of the tone: (times, order + 1, order + 1)."""
    after_s = np.arange(-_BEFORE_S, _LONGEST_S, _GRID_S)
    order = looking.order
    shares = [
        _share_seen(after_s - back * looking.lag_s, change.takes_s, looking.window_s)
        for back in range(order + 1)
    ]
    if change.ends:
        shares = [1 - share for share in shares]
    seen = np.zeros((len(after_s), order + 1, order + 1))
    for one in range(order + 1):
        for other in range(one, order + 1):
            straight = shares[one] * shares[other]
            together = _through_room(straight, rt_s, float(change.ends), change.direct)
            seen[:, one, other] = seen[:, other, one] = together
    return after_s, seen


def _through_room(straight: Array, rt_s: float, before: float, direct: float) -> Array:
    """Power that comes straight, a share `direct` of it, and by a diffuse room's exponential
    delays, if it was `before` until now."""
    left = np.exp(-_energy_decay(rt_s) * _GRID_S)
    diffuse, _ = signal.lfilter([1 - left], [1, -left], straight, zi=[left * before])
    return np.asarray(direct * straight + (1 - direct) * diffuse)


def _share_seen(after_s: Array, ramp_s: float, window_s: float) -> Array:
    """The share of a tone, rising evenly for `ramp_s` from second 0 on, that a look sees."""
    size = round(window_s / _GRID_S)
    ramp = np.ones(max(1, round(ramp_s / _GRID_S)))
    there = np.cumsum(np.convolve(signal.windows.hann(size, sym=False), ramp))
    at_s = (np.arange(len(there)) - size // 2) * _GRID_S
    return np.asarray(np.interp(after_s, at_s, there / there[-1], left=0.0, right=1.0))
