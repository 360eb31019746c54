"""When a chord really begins: the rise of the partials that enter with it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from suspirium.tables import load
from suspirium.take.sound.bands import Array, Floats
from suspirium.take.sound.feet import foot
from suspirium.take.sound.partials import STEP_S, partials, vectors

_RAMPS = (10, 20, 30, 45, 65)  # steps that pipes take to speak, the window included


def onset_s(
    sound: Floats, near_s: float, entering: Sequence[int], before: Sequence[int], cents: float
) -> float | None:
    """Seconds at which `entering` keys begin near `near_s`, while `before` were sounding.

    The common amplitude of their partials is fitted by a level, a ramp and, as the room
    fills, a line from there on; the ramp's foot is the onset. None where nothing rises.
    """
    table = load("take")
    reach_s, margin_s = table.number("sound.onset_reach_s"), table.number("sound.onset_margin_s")
    hz = partials(entering, cents, before)
    if not len(hz):
        return None
    begin_s = near_s - reach_s - margin_s
    times_s, seen = vectors(sound, begin_s, near_s + reach_s + 2 * margin_s, hz)
    rise = _common(np.abs(seen), times_s > near_s + margin_s / 2)
    first = round(margin_s / STEP_S)
    last = first + round(2 * reach_s / STEP_S)
    away_s = times_s[first : last + 1] - near_s
    doubt = (away_s / table.number("sound.onset_spread_s")) ** 2 / 2
    found = foot(rise, first, last, _RAMPS, doubt=doubt)
    return float(times_s[found.at]) if found else None


def _common(amplitudes: Array, after: npt.NDArray[np.bool_]) -> Array:
    """The mean of all partials, each against its own level afterwards, weighed by its gain."""
    later = amplitudes[after]
    reached = np.percentile(later, 70, axis=0) + 1e-12
    gain = np.maximum(0, reached - amplitudes.min(0))
    weights = gain / (gain.sum() + 1e-12)
    return np.asarray((amplitudes / reached) @ weights)
