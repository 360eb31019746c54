"""What the errors of prediction say of a release at each look, band by band."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.special import logsumexp

from suspirium.tables import load
from suspirium.take.sound.answer import Trace
from suspirium.take.sound.bands import Array
from suspirium.take.sound.foretold import Foretold
from suspirium.take.sound.looking import Looking
from suspirium.take.sound.stray import with_strays

_TINY = 1e-14
_AHEAD_S = 0.03  # looks see a release that is so far ahead
_GRID = 10 ** (np.arange(-40, 1, 2) / 10)  # powers of errors against a tone's, 2 dB apart


def release_gains(
    seen: Foretold, began_s: float, usual: Array, trace: Trace, until_s: Array
) -> Array:
    """How much likelier (natural logarithm) each band is with a release at each look than
    held on: (looks, bands).

    Errors are heavy-tailed (complex Student's law); their power is that of held keys, of the
    room that fills after the onset at `began_s`, and after a release of the tone that dies
    away, as `trace` says, at a level of chance. `usual` are the powers of errors while keys
    are held, over all stretches; a band is looked at before `until_s` only.
    """
    table = load("take")
    alike, tail = table.number("sound.alike_looks"), table.number("sound.error_tail")
    steady: Array = seen.power[_settled(seen)].mean(0)
    share, since_s = table.number("sound.filling"), seen.times_s - began_s
    filling = np.asarray(share * steady * trace.at(since_s))
    held = _held_power(seen, usual, steady, filling) + filling
    alive = seen.times_s[:, None] < until_s
    levels = 10 ** (np.array(table["sound.dying_db"], dtype=float) / 10)
    step_s = Looking.at_releases().step_s
    ahead, count = int(_AHEAD_S / step_s) + 1, len(seen.times_s)
    dying = trace.at(np.arange(-ahead, count + 1) * step_s)
    let_go = _let_go_power(seen.power, steady)
    plain = _log_density(seen.error, held, tail)
    gains = np.empty((len(levels), *seen.power.shape))
    for at in range(count):
        first = max(0, at - ahead)
        after = dying[first - at + ahead : count - at + ahead] * let_go[at]
        power = held[first:] + levels[:, None, None] * after
        gain = _log_density(seen.error[first:], power, tail) - plain[first:]
        gains[:, at] = alike * np.where(alive[first:], gain, 0).sum(1)
    unchanged = np.zeros(gains.shape[2])
    return np.stack([with_strays(of_level, unchanged) for of_level in gains])


def of_one_level(gains: Array) -> Array:
    """What bands say together, (looks,), of `gains` (levels, looks, bands): mostly all of them
    have one level, some their own."""
    own = load("take").number("sound.own_level_chance")
    any_level = logsumexp(gains, axis=0) - np.log(len(gains))
    mixed = np.logaddexp(np.log(1 - own) + gains, np.log(own) + any_level)
    return np.asarray(logsumexp(mixed.sum(2), axis=0) - np.log(len(gains)))


def usual_errors(stretches: Sequence[Foretold]) -> Array:
    """The usual power of errors while keys are held, (bands,), over all stretches."""
    return _middle(np.concatenate([seen.error[_settled(seen)] for seen in stretches]))


def _settled(seen: Foretold) -> slice:
    """Looks of surely held keys, without the first third, in which the room fills."""
    return slice(seen.held // 3, max(4, seen.held))


def _middle(power: Array) -> Array:
    """The mean of exponentially distributed powers, by their median."""
    return np.asarray(np.median(power, axis=0) / np.log(2))


def _log_density(error: Array, power: Array, tail: float) -> Array:
    """Of complex Student's law with `tail` degrees of freedom, a constant left out."""
    return np.asarray(-np.log(power) - (tail / 2 + 1) * np.log1p(2 * error / (tail * power)))


def _held_power(seen: Foretold, usual: Array, steady: Array, filling: Array) -> Array:
    """Powers of errors while keys are held, (bands,).

    Two estimates are mixed half and half (geometric mean): the likeliest power given that the
    room fills; and medians, of this stretch and of all.
    """
    table = load("take")
    tail = table.number("sound.error_tail")
    early = slice(0, max(4, seen.held))
    power = _GRID[:, None, None] * steady + filling[early] + _TINY
    told = table.number("sound.alike_looks") * _log_density(seen.error[early], power, tail).sum(1)
    chance = np.exp(told - told.max(0))
    likely = np.exp((chance * np.log(_GRID)[:, None]).sum(0) / chance.sum(0)) * steady
    settled = seen.error[_settled(seen)]
    more = table.number("sound.usual_looks")
    middle = (_middle(settled) * len(settled) + usual * more) / (len(settled) + more)
    least = table.number("sound.least_error") * steady + _TINY
    return np.asarray(np.sqrt(np.maximum(likely, least) * np.maximum(middle, least)))


def _let_go_power(power: Array, steady: Array) -> Array:
    """The power of the tone that a release at each look would end, (looks, bands): half the
    usual, half that of the last looks before."""
    trail = int(load("take")["sound.trail_looks"])
    sums = np.concatenate([np.zeros((1, power.shape[1])), np.cumsum(power, axis=0)])
    stop = np.maximum(1, np.arange(len(power)) - 2)
    start = np.maximum(0, stop - trail)
    before = (sums[stop] - sums[start]) / (stop - start)[:, None]
    return np.asarray((before + steady) / 2)
