"""When a melody's last note is let go: every time weighed, with what the other keys may do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from suspirium.tables import load
from suspirium.take.sound.answer import trace
from suspirium.take.sound.bands import Array, Floats
from suspirium.take.sound.evidence import of_one_level, release_gains, usual_errors
from suspirium.take.sound.foretold import (
    Foretelling,
    Stretch,
    foretell,
    near,
)
from suspirium.take.sound.looking import Looking
from suspirium.take.sound.stray import with_strays

_LEAST_S = 0.05
_REACH = 3  # looks over which keys that go together may lie apart


@dataclass(frozen=True, slots=True)
class Standing:
    """One time that a line's last chord stands, in seconds: its onset and the next line's; when
    the plan lets the melody go, reckoned from the one and from the other.

    `lead` is the melody's key, `together` are the others that go with it, `held_on` those that
    are held longer; bands of `moving` keys say nothing from their second on.
    """

    start_s: float
    until_s: float
    planned_s: tuple[float, float]
    lead: int
    together: tuple[int, ...] = ()
    held_on: tuple[int, ...] = ()
    moving: tuple[tuple[int, float], ...] = ()

    @property
    def carried(self) -> bool:
        """Whether the plan holds the melody's note on into the next line."""
        return self.until_s - self.planned_s[1] < load("take").number("sound.carried_s")

    @property
    def surely_held_s(self) -> float:
        """Seconds from the onset for which the note is surely held."""
        table = load("take")
        return min(
            table.number("sound.held_share") * (self.until_s - self.start_s),
            table.number("sound.held_as_planned") * (self.planned_s[0] - self.start_s),
        )

    @property
    def sought_s(self) -> float:
        """Seconds from which on the release is sought: a little is left to doubt."""
        share = load("take").number("sound.search_from")
        return self.start_s + share * self.surely_held_s


@dataclass(frozen=True, slots=True)
class Release:
    """Seconds at which the melody was let go, their standard error, the probability that it
    was about then, and that it was not before the next line."""

    at_s: float
    error_s: float
    sure: float
    held_on: float

    @property
    def told(self) -> bool:
        """Whether it is known well enough to be told."""
        table = load("take")
        most_s, least = table.number("sound.most_error_s"), table.number("sound.least_sure")
        return self.error_s <= most_s and self.sure >= least


def releases(
    sound: Floats, standings: Sequence[Standing], cents: float, rt_s: float
) -> list[Release | None]:
    """For each time that a chord stands, when its melody is let go; None where too little is
    heard of it."""
    keys = sorted({key for one in standings for key in (one.lead, *one.together, *one.held_on)})
    stretches = [Stretch(one.start_s, one.until_s, one.surely_held_s) for one in standings]
    told = foretell(sound, stretches, keys, cents)
    if told is None:
        return [None] * len(standings)
    usual = usual_errors([seen for seen in told.stretches if seen is not None])
    dying = trace(told.weights, Looking.at_releases(), rt_s)
    found: list[Release | None] = []
    for one, seen in zip(standings, told.stretches, strict=True):
        if seen is None:
            found.append(None)
            continue
        gains = release_gains(seen, one.start_s, usual, dying, _until_s(told, one, cents))
        sought = seen.times_s > min(one.sought_s, seen.times_s[-1] - _LEAST_S)
        grouped = _grouped(gains[:, sought], told, one, cents)
        found.append(_likeliest(one, seen.times_s[sought], grouped))
    return found


def _until_s(told: Foretelling, one: Standing, cents: float) -> Array:
    """The second from which on each band sees other keys move."""
    table = load("take")
    ahead_s = table.number("sound.look_s") / 2 + table.number("sound.moves_early_s")
    until_s = np.full(len(told.hz), np.inf)
    for key, at_s in one.moving:
        there = near(told.hz, [key], cents)
        until_s[there] = np.minimum(until_s[there], at_s - ahead_s)
    return until_s


@dataclass(frozen=True, slots=True)
class _Gains:
    """What bands say at each look of a release: those of the melody and of keys that go with
    it; those that it shares with keys held longer (None if none); and the others."""

    own: Array
    shared: Array | None
    others: Array


def _grouped(gains: Array, told: Foretelling, one: Standing, cents: float) -> _Gains:
    lead, beside, staying = (
        near(told.hz, keys, cents) for keys in ([one.lead], one.together, one.held_on)
    )
    alone = lead & ~beside & ~staying
    going = (lead | beside) & ~staying & ~alone
    shared = (lead | beside) & staying
    apart = _apart(gains)
    own = np.concatenate([gains[:, :, alone], apart[:, :, going]], axis=2)
    return _Gains(
        _together(own),
        _together(apart[:, :, shared]) if shared.any() else None,
        _together(apart[:, :, ~(lead | beside)]),
    )


def _together(gains: Array) -> Array:
    """What bands say together; all of them may change by chance too, as where the wind turns."""
    chance = load("take").number("sound.stray_together_chance")
    told = of_one_level(gains)[:, None]
    return np.asarray(with_strays(told, np.zeros(1), chance)[:, 0])


def _apart(gains: Array) -> Array:
    """The gains of keys that are let go a little before or after the melody's."""
    away = np.arange(-_REACH, _REACH + 1)
    looks = load("take").number("sound.keys_apart_s") / Looking.at_releases().step_s
    chance = np.exp(-0.5 * (away / looks) ** 2)
    chance /= chance.sum()
    padded = np.pad(gains, ((0, 0), (_REACH, _REACH), (0, 0)), mode="edge")
    moved = np.stack([padded[:, step : step + gains.shape[1]] for step in range(len(away))])
    return np.asarray(logsumexp(moved, axis=0, b=chance[:, None, None, None]))


def _likeliest(one: Standing, times_s: Array, gains: _Gains) -> Release:
    """The most probable release. Other keys may go with the melody's, stay, or go later."""
    table = load("take")
    about_s = table.number("sound.about_s")
    carried = table.number("sound.carried_chance")
    on = carried if one.carried else (1 - carried) / 2
    every = np.log(1 - on) + _prior(one, times_s) + gains.own + _others(one, times_s, gains)
    stays = np.log(on) + _others_alone(one, gains)
    whole = np.logaddexp(logsumexp(every), stays)
    chance, on = np.exp(every - whole), float(np.exp(stays - whole))
    best_s = times_s[int(chance.argmax())]
    sure = float(chance[np.abs(times_s - best_s) < about_s].sum())
    about = np.abs(times_s - best_s) < about_s / 2
    at_s = float(chance[about] @ times_s[about] / max(1e-12, chance[about].sum()))
    if on > sure:
        at_s, sure = one.until_s, on + float(chance[times_s > one.until_s - about_s].sum())
    spread = chance @ (times_s - at_s) ** 2 + on * (one.until_s - at_s) ** 2
    return Release(at_s, float(np.sqrt(spread)), sure, on)


def _prior(one: Standing, times_s: Array) -> Array:
    """Logarithm of how probable each look is by the plan: Cauchy's law, since now and then a
    player does something else altogether."""
    table = load("take")
    spread_s = table.number("sound.hold_spread_s")
    chance = np.zeros(len(times_s))
    for planned_s in one.planned_s:
        chance += 1 / (1 + ((times_s - planned_s) / spread_s) ** 2)
    return np.asarray(np.log(chance / chance.sum()))


def _others(one: Standing, times_s: Array, gains: _Gains) -> Array:
    """What the bands of other keys add to a release of the melody at each look."""
    shared = gains.shared
    going = gains.others + (0.0 if shared is None else shared)
    if not one.held_on:
        return going
    table = load("take")
    together = table.number("sound.all_go_chance")
    both = 0.0 if shared is None else _either(shared[:, None], shared[None, :])
    apart_s = table.number("sound.carried_s") / 2
    after = np.where(times_s[None, :] > times_s[:, None] + apart_s, 0, -np.inf)
    later = logsumexp(gains.others[None, :] + both + after - np.log(len(times_s)), axis=1)
    stay = 0.0 if shared is None else np.logaddexp(shared, 0) - np.log(2)
    alone = np.logaddexp(stay, later) - np.log(2)
    return np.asarray(np.logaddexp(np.log(together) + going, np.log(1 - together) + alone))


def _others_alone(one: Standing, gains: _Gains) -> float:
    """What they add if the melody is held on: they may be let go all the same."""
    if not one.held_on:
        return 0.0
    go = load("take").number("sound.all_go_chance")
    let_go = float(logsumexp(gains.others)) - np.log(len(gains.others))
    return float(np.logaddexp(np.log(1 - go), np.log(go) + let_go))


def _either(one: Array, other: Array) -> Array:
    """A shared band may be heard to change with the one release, with the other, or not."""
    return np.asarray(np.logaddexp(np.logaddexp(one, other), 0) - np.log(3))
