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
from suspirium.take.sound.bands import RATE, Array, Floats
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


def look_step_s() -> float:
    """Seconds from one look to the next."""
    return _step() / RATE


def _step() -> int:
    return round(load("take").number("sound.look_step_s") * RATE)


def lag_looks() -> int:
    """Looks from one of those that a predictor asks to the next."""
    return max(1, round(load("take").number("sound.lag_s") / look_step_s()))


def foretell(
    sound: Floats, stretches: Sequence[Stretch], keys: Sequence[int], cents: float
) -> Foretelling | None:
    """Looks at all stretches in which a chord of `keys` stands, foretold by predictors that
    are learnt from their surely held parts; None where none is long enough."""
    table = load("take")
    hz = _bands(frequencies(keys, cents))
    speaks_s, last_s = table.number("sound.speaks_s"), table.number("sound.last_look_s")
    window_s, step = table.number("sound.look_s"), _step()
    seen = [
        vectors(sound, one.start_s + speaks_s, one.until_s - last_s, hz, window_s, step)
        for one in stretches
    ]
    lag, order = lag_looks(), int(table["sound.order"])
    used = order * lag
    looks = _stilled([looks for _, looks in seen], lag)
    held = [max(lag, round((one.held_s - speaks_s) / look_step_s()) - used) for one in stretches]
    known = [
        _history(look, order, lag) if len(look) >= used + _LEAST_LOOKS else None for look in looks
    ]
    learning = [
        (past[:count], now[:count])
        for (past, now), count in ((k, n) for k, n in zip(known, held, strict=True) if k)
    ]
    if not learning:
        return None
    weights = _weights(learning)
    return Foretelling(
        hz,
        weights,
        tuple(
            None if one is None else _foretold(times[used:], one, weights, count)
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


def _history(looks: Vectors, order: int, lag: int) -> tuple[Vectors, Vectors]:
    """What a predictor looks back on, (looks, order, bands), and what it should foretell."""
    used = order * lag
    past = np.stack(
        [looks[used - (j + 1) * lag : len(looks) - (j + 1) * lag] for j in range(order)], axis=1
    )
    return past, looks[used:]


def _weights(learning: Sequence[tuple[Vectors, Vectors]]) -> Vectors:
    """Least squares with a ridge, band by band."""
    past = np.concatenate([past for past, _ in learning])
    now = np.concatenate([now for _, now in learning])
    order = past.shape[1]
    square = np.einsum("njb,nkb->bjk", past.conj(), past)
    product = np.einsum("njb,nb->bj", past.conj(), now)
    usual = np.trace(square, axis1=1, axis2=2).real / order
    ridge = load("take").number("sound.ridge") * usual + 1e-12
    solved = np.linalg.solve(square + ridge[:, None, None] * np.eye(order), product[..., None])
    return np.asarray(solved[..., 0])


def _foretold(
    times_s: Array, one: tuple[Vectors, Vectors], weights: Vectors, held: int
) -> Foretold:
    past, now = one
    error = now - np.einsum("njb,bj->nb", past, weights)
    return Foretold(times_s, np.abs(now) ** 2, np.abs(error) ** 2, held)
