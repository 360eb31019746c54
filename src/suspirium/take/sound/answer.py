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
from suspirium.take.sound.foretold import lag_looks, look_step_s
from suspirium.take.sound.partials import Vectors

_GRID_S = 0.001
_BEFORE_S = 0.06  # looks reach ahead by half a window
_LONGEST_S = 2.5
_KEPT = 16


@dataclass(frozen=True, slots=True)
class Trace:
    """Powers of errors (times, bands) against the power of the tone that was let go, at
    seconds after the release."""

    after_s: Array
    power: Array

    def at(self, after_s: npt.NDArray[np.floating[Any]]) -> Array:
        """The powers at these seconds after a release, (times, bands)."""
        return np.stack([np.interp(after_s, self.after_s, row) for row in self.power.T], axis=1)


def trace(weights: Vectors, rt_s: float) -> Trace:
    """What a release leaves in the errors of bands foretold with these `weights`.

    The tone comes straight, and from everywhere after an exponential delay, with phases of
    chance. The error of a look is the look less its prediction, so its power is a quadratic
    form of the shares of the tone that this look and those before still see.
    """
    after_s, seen = _seen_together(round(rt_s, 1), weights.shape[1])
    form = np.concatenate([np.ones((len(weights), 1)), -weights], axis=1)
    power = np.einsum("bj,ujk,bk->ub", form.conj(), seen, form).real
    decay = np.exp(-_energy_decay(rt_s) * np.maximum(after_s, 0))
    return Trace(after_s, np.maximum(power - power[0] * decay[:, None], 1e-9))


@lru_cache(maxsize=_KEPT)
def rise(rt_s: float, ramp_s: float, window_s: float) -> tuple[Array, Array]:
    """Seconds after an onset and the share of its power in the end that a window sees of a
    tone that takes `ramp_s` to speak."""
    after_s = np.arange(-_BEFORE_S, _LONGEST_S, _GRID_S)
    power = _share_seen(after_s, ramp_s, window_s) ** 2
    return after_s, _through_room(power, rt_s, 0.0, load("take").number("sound.onset_direct"))


def _energy_decay(rt_s: float) -> float:
    """Nepers a second: 60 dB in `rt_s`."""
    return float(6 * np.log(10) / rt_s)


@lru_cache(maxsize=_KEPT)
def _seen_together(rt_s: float, order: int) -> tuple[Array, Array]:
    """Seconds after a release, and the power that each two of a look and those it is foretold
    from still see together: (times, order + 1, order + 1)."""
    table = load("take")
    fall_s, window_s = table.number("sound.fall_s"), table.number("sound.look_s")
    direct = table.number("sound.direct_share")
    lag_s = lag_looks() * look_step_s()
    after_s = np.arange(-_BEFORE_S, _LONGEST_S, _GRID_S)
    shares = [
        1 - _share_seen(after_s - back * lag_s, fall_s, window_s) for back in range(order + 1)
    ]
    seen = np.zeros((len(after_s), order + 1, order + 1))
    for one in range(order + 1):
        for other in range(one, order + 1):
            together = _through_room(shares[one] * shares[other], rt_s, 1.0, direct)
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
