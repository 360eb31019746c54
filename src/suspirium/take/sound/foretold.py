"""Held pipes can be foretold, what follows them can not: errors of prediction, band by band.

While a chord is held, each narrow band of its sound is a sum of few steady oscillations, so
a linear predictor foretells each look at it from those shortly before. At a release the
direct sound stops and the room answers with its own noise: the error of prediction jumps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from suspirium.tables import load
from suspirium.take.sound.bands import Array, Floats
from suspirium.take.sound.looking import Looking
from suspirium.take.sound.partials import Vectors, frequencies, vectors

Flags = npt.NDArray[np.bool_]

_LEAST_LOOKS = 8


@dataclass(frozen=True, slots=True)
class Stretch:
    """Seconds between which a chord stands, for `held_s` of them surely."""

    start_s: float
    until_s: float
    held_s: float


@dataclass(frozen=True, slots=True)
class Foretold:
    """Looks at one stretch: their times, the powers of the bands and of the errors of
    prediction (looks, bands); the first `held` of them are surely of held keys."""

    times_s: Array
    power: Array
    error: Array
    held: int


@dataclass(frozen=True, slots=True)
class Foretelling:
    """How each band is foretold: the middles of the bands in Hz, weights of the looks before
    (bands, order), and all stretches; None for those too short to tell anything."""

    hz: Array
    weights: Vectors
    stretches: tuple[Foretold | None, ...]


def foretell(
    sound: Floats, stretches: Sequence[Stretch], keys: Sequence[int], cents: float
) -> Foretelling | None:
    """Looks at all stretches in which a chord of `keys` stands, foretold by predictors that
    are learnt from their surely held parts; None where none is long enough."""
    table = load("take")
    hz = _bands(frequencies(keys, cents))
    speaks_s, last_s = table.number("sound.speaks_s"), table.number("sound.last_look_s")
    looking = Looking.at_releases()
    seen = [
        vectors(
            sound, one.start_s + speaks_s, one.until_s - last_s, hz, looking.window_s, looking.step
        )
        for one in stretches
    ]
    looks = _stilled([looks for _, looks in seen], looking.lag)
    held = [
        max(looking.lag, round((one.held_s - speaks_s) / looking.step_s) - looking.used)
        for one in stretches
    ]
    known = [
        looking.history(look) if len(look) >= looking.used + _LEAST_LOOKS else None
        for look in looks
    ]
    learning = [
        (past[:count], now[:count])
        for (past, now), count in ((k, n) for k, n in zip(known, held, strict=True) if k)
    ]
    if not learning:
        return None
    weights = looking.weights(learning)
    return Foretelling(
        hz,
        weights,
        tuple(
            None if one is None else _foretold(times[looking.used :], one, weights, count)
            for (times, _), one, count in zip(seen, known, held, strict=True)
        ),
    )


def near(hz: Array, keys: Sequence[int], cents: float) -> Flags:
    """Which bands have a partial of these keys."""
    partials = frequencies(keys, cents)
    if not len(partials):
        return np.zeros(len(hz), dtype=bool)
    reach_hz = load("take").number("sound.band_hz")
    flags: Flags = np.abs(hz[:, None] - partials).min(1) < reach_hz
    return flags


def _bands(hz: Array) -> Array:
    """Middles of bands: partials, those left out that lie in another's band."""
    apart_hz = load("take").number("sound.band_hz")
    kept: list[float] = []
    for one in np.sort(hz):
        if not kept or one - kept[-1] > apart_hz:
            kept.append(float(one))
    return np.array(kept)


def _stilled(looks: Sequence[Vectors], lag: int) -> list[Vectors]:
    """Looks turned so that each band's strongest oscillation stands still."""
    turning = sum((look[lag:] * look[:-lag].conj()).sum(0) for look in looks if len(look) > lag)
    angle = np.angle(turning) / lag
    return [look * np.exp(-1j * angle * np.arange(len(look))[:, None]) for look in looks]


def _foretold(
    times_s: Array, one: tuple[Vectors, Vectors], weights: Vectors, held: int
) -> Foretold:
    past, now = one
    error = now - np.einsum("njb,bj->nb", past, weights)
    return Foretold(times_s, np.abs(now) ** 2, np.abs(error) ** 2, held)
