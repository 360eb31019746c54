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
_LEAST_LOOKS = 12
_NEAR = 120  # looks around a coarse find


@dataclass(frozen=True, slots=True)
class Span:
    """Seconds between which a chord's melody note is let go: its onset and the next one's.

    At `moves_s` another voice goes on before that (`until_s` if none does); the plan holds the
    note for `held_s`.
    """

    start_s: float
    until_s: float
    moves_s: float
    held_s: float


@dataclass(frozen=True, slots=True)
class Release:
    """Seconds at which keys were let go, and how much likelier (natural logarithm) the
    sound is with a release than without; `at_s` is the span's end if they were held on."""

    at_s: float
    gain: float


def releases(
    sound: Floats,
    spans: Sequence[Span],
    keys: Sequence[int],
    lead: int,
    cents: float,
    later: Sequence[int] = (),
) -> list[Release]:
    """For each time that the chord of `keys` stands in a span, when its melody is let go.

    `lead` is the melody's key, `later` are keys that other voices go on to. The predictors are
    learnt from the first parts of all spans, while the plan still holds the note.
    """
    table = load("take")
    hz = _bands(frequencies(keys, cents))
    speaks_s, look_s = table.number("sound.speaks_s"), table.number("sound.last_look_s")
    window_s = table.number("sound.look_s")
    pieces = [
        vectors(sound, span.start_s + speaks_s, span.until_s - look_s, hz, window_s)
        for span in spans
    ]
    skip = int(table["sound.skip_steps"])
    looks = [seen[::skip] for _, seen in pieces]
    lag = max(1, round(table.number("sound.lag_s") / (STEP_S * skip)))
    order = int(table["sound.order"])
    others = [key for key in (*keys, *later) if key != lead]
    own = _own(hz, frequencies([lead], cents), frequencies(others, cents))
    surely_s = [_surely_held_s(span) - speaks_s for span in spans]
    errors = _errors(looks, order, lag, [round(one / (STEP_S * skip)) for one in surely_s])
    found = []
    for span, (times_s, _), error in zip(spans, pieces, errors, strict=True):
        times = times_s[::skip][order * lag :]
        still = int((times < span.moves_s - window_s / 2).sum())
        doubt = _doubt(times, span.start_s + min(span.held_s, span.until_s - span.start_s))
        at = None if error is None else _jump(error, own, still, doubt)
        if at is None:
            found.append(Release(span.until_s, 0.0))
            continue
        late_s = table.number("sound.release_bias_s")
        found.append(Release(min(span.until_s, float(times[at[0]]) - late_s), at[1]))
    return found


def _surely_held_s(span: Span) -> float:
    """Seconds from the onset for which the note is surely held."""
    table = load("take")
    return min(
        table.number("sound.held_share") * (span.until_s - span.start_s),
        table.number("sound.held_as_planned") * span.held_s,
    )


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


def _errors(
    looks: Sequence[Vectors], order: int, lag: int, held: Sequence[int]
) -> list[Array | None]:
    """Errors of prediction, (looks, bands) for each span; None where it is too short.

    Of each span the first `held` looks are learnt from.
    """
    table = load("take")
    used = order * lag
    long = [len(seen) > used + 2 * lag for seen in looks]
    if not any(long):
        return [None] * len(looks)
    count = looks[0].shape[1]
    rows = [
        _history(seen, order, lag) for seen, is_long in zip(looks, long, strict=True) if is_long
    ]
    early = [max(lag, n - used) for n, is_long in zip(held, long, strict=True) if is_long]
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


def _jump(error: Array, own: Array, still: int, doubt: Array) -> tuple[int, float] | None:
    """Where the errors jump, and the gain of it.

    The melody's own bands say when the melody is let go. All bands together say it more
    finely where everything is let go at once, but they jump too when only other voices are:
    they count where they agree with the melody's, or where these say nothing. After the first
    `still` looks other voices move.
    """
    table = load("take")
    usual = np.median(error[: max(4, min(still, len(error)) // 2)], axis=0) + 1e-12
    level = np.log(error / usual + table.number("sound.error_floor"))
    least = table.number("sound.least_gain")
    melody = _foot(level[:, own].mean(1), doubt)
    every = _foot(level[:still].mean(1), doubt[:still])
    clear = [one for one in (every, melody) if one is not None and one.gain >= least]
    if len(clear) == 2 and abs(clear[0].at - clear[1].at) > table["sound.agree_looks"]:
        clear = clear[1:]
    if not clear:
        return None
    best = max(clear, key=lambda one: one.gain)
    return best.at, best.gain


def _doubt(times_s: Array, planned_s: float) -> Array:
    """How much less likely (natural logarithm) it is that a note ends there than as planned:
    Cauchy's law, since now and then a player does something else altogether."""
    spread_s = load("take").number("sound.hold_spread_s")
    away: Array = np.log1p(((times_s - planned_s) / spread_s) ** 2)
    return away


def _foot(curve: Array, doubt: Array) -> Foot | None:
    """The foot of a jump; long curves are searched coarsely, then finely around it."""
    ramps = tuple(int(n) for n in load("take")["sound.jump_steps"])
    if len(curve) < _LEAST_LOOKS:
        return None
    stride = -(-len(curve) // _MOST_LOOKS)
    if stride == 1:
        return foot(curve, 3, len(curve) - 5, ramps, tilted=True, doubt=doubt[3 : len(curve) - 4])
    count = len(curve) // stride
    coarse = curve[: count * stride].reshape(count, stride).mean(1)
    short = tuple(sorted({max(1, ramp // stride) for ramp in ramps}))
    seldom = doubt[::stride][3 : count - 4]
    about = foot(coarse, 3, count - 5, short, tilted=True, doubt=seldom)
    if about is None:
        return None
    low = max(0, min(len(curve) - _NEAR, about.at * stride - _NEAR // 2))
    piece = curve[low : low + _NEAR]
    first, last = _NEAR // 4, 3 * _NEAR // 4
    near = doubt[low + first : low + last + 1]
    fine = foot(piece, first, last, ramps, tilted=True, doubt=near)
    return Foot(low + fine.at, about.gain) if fine else about
