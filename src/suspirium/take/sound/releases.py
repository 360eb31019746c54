"""When keys are really let go: held pipes can be foretold, what follows them can not.

While a chord is held, each narrow band of its sound is a sum of few steady oscillations,
so a linear predictor foretells it from the looks shortly before (in the frequency bands of
organ tones two or three oscillations suffice). At the release the direct sound stops and
the room answers with its own noise: the error of prediction jumps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from suspirium.tables import load
from suspirium.take.sound.bands import Array, Floats
from suspirium.take.sound.feet import Foot, foot
from suspirium.take.sound.partials import STEP_S, Vectors, frequencies, vectors

_MOST_LOOKS = 260  # searched one by one
_NEAR = 120  # looks around a coarse find

Span = tuple[float, float]  # a chord's onset and the next one's, seconds


@dataclass(frozen=True, slots=True)
class Release:
    """Seconds at which keys were let go, and how much likelier (natural logarithm) the
    sound is with a release than without; `at_s` is the span's end if they were held on."""

    at_s: float
    gain: float


def releases(
    sound: Floats, spans: Sequence[Span], keys: Sequence[int], lead: int, cents: float
) -> list[Release]:
    """For each time that the chord of `keys` stands in a span, when it is let go.

    `lead` is the melody's key. The predictors are learnt from the first parts of all spans.
    """
    table = load("take")
    hz = _bands(frequencies(keys, cents))
    speaks_s, look_s = table.number("sound.speaks_s"), table.number("sound.last_look_s")
    pieces = [
        vectors(sound, start_s + speaks_s, until_s - look_s, hz, table.number("sound.look_s"))
        for start_s, until_s in spans
    ]
    skip = int(table["sound.skip_steps"])
    looks = [seen[::skip] for _, seen in pieces]
    lag = max(1, round(table.number("sound.lag_s") / (STEP_S * skip)))
    order = int(table["sound.order"])
    own = _own(hz, frequencies([lead], cents), frequencies([k for k in keys if k != lead], cents))
    errors = _errors(looks, order, lag)
    found = []
    for (_, until_s), (times_s, _), error in zip(spans, pieces, errors, strict=True):
        at = None if error is None else _jump(error, own)
        if at is None:
            found.append(Release(until_s, 0.0))
            continue
        times = times_s[::skip][order * lag :]
        late_s = table.number("sound.release_bias_s")
        found.append(Release(min(until_s, float(times[at[0]]) - late_s), at[1]))
    return found


def _bands(hz: Array) -> Array:
    """Middles of bands: partials, those left out that lie in another's band."""
    apart_hz = load("take").number("sound.band_hz")
    kept: list[float] = []
    for one in np.sort(hz):
        if not kept or one - kept[-1] > apart_hz:
            kept.append(float(one))
    return np.array(kept)


def _own(hz: Array, lead: Array, others: Array) -> Array:
    """Which bands are the melody's alone; all of its bands if it shares them all."""
    reach_hz = load("take").number("sound.band_hz")
    has = np.abs(hz[:, None] - lead).min(1) < reach_hz
    if not len(others):
        return np.asarray(has)
    alone = has & (np.abs(hz[:, None] - others).min(1) > reach_hz)
    return np.asarray(alone if alone.any() else has)


def _errors(looks: Sequence[Vectors], order: int, lag: int) -> list[Array | None]:
    """Errors of prediction, (looks, bands) for each span; None where it is too short."""
    table = load("take")
    used = order * lag
    long = [len(seen) > used + 2 * lag for seen in looks]
    if not any(long):
        return [None] * len(looks)
    share = table.number("sound.held_share")
    count = looks[0].shape[1]
    rows = [
        _history(seen, order, lag) for seen, is_long in zip(looks, long, strict=True) if is_long
    ]
    early = [max(lag, round(share * (len(past) + used)) - used) for past, _ in rows]
    errors: list[Array] = [np.zeros(now.shape) for _, now in rows]
    for band in range(count):
        past = np.concatenate([p[:n, :, band] for (p, _), n in zip(rows, early, strict=True)])
        now = np.concatenate([y[:n, band] for (_, y), n in zip(rows, early, strict=True)])
        square = past.conj().T @ past
        ridge = table.number("sound.ridge") * np.trace(square).real / order + 1e-12
        weights = np.linalg.solve(square + ridge * np.eye(order), past.conj().T @ now)
        for error, (p, y) in zip(errors, rows, strict=True):
            error[:, band] = np.abs(y[:, band] - p[:, :, band] @ weights)
    found = iter(errors)
    return [next(found) if is_long else None for is_long in long]


def _history(seen: Vectors, order: int, lag: int) -> tuple[Vectors, Vectors]:
    """What a predictor looks back on, (looks, order, bands), and what it should foretell."""
    used = order * lag
    past = np.stack(
        [seen[used - (j + 1) * lag : len(seen) - (j + 1) * lag] for j in range(order)], axis=1
    )
    return past, seen[used:]


def _jump(error: Array, own: Array) -> tuple[int, float] | None:
    """Where the errors jump, and the gain of it: in all bands, or in the melody's alone where
    it is clearer (only the melody may have been let go)."""
    table = load("take")
    usual = np.median(error[: max(4, len(error) // 2)], axis=0) + 1e-12
    level = np.log(error / usual + table.number("sound.error_floor"))
    found = [_foot(curve) for curve in (level.mean(1), level[:, own].mean(1))]
    clear = [one for one in found if one is not None and one.gain >= table["sound.least_gain"]]
    if not clear:
        return None
    best = max(clear, key=lambda one: one.gain)
    return best.at, best.gain


def _foot(curve: Array) -> Foot | None:
    """The foot of a jump; long curves are searched coarsely, then finely around it."""
    ramps = tuple(int(n) for n in load("take")["sound.jump_steps"])
    stride = -(-len(curve) // _MOST_LOOKS)
    if stride == 1:
        return foot(curve, 3, len(curve) - 5, ramps, tilted=True)
    count = len(curve) // stride
    coarse = curve[: count * stride].reshape(count, stride).mean(1)
    short = tuple(sorted({max(1, ramp // stride) for ramp in ramps}))
    about = foot(coarse, 3, count - 5, short, tilted=True)
    if about is None:
        return None
    low = max(0, min(len(curve) - _NEAR, about.at * stride - _NEAR // 2))
    piece = curve[low : low + _NEAR]
    fine = foot(piece, _NEAR // 4, 3 * _NEAR // 4, ramps, tilted=True)
    return Foot(low + fine.at, about.gain) if fine else about
