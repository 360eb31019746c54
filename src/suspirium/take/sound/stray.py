"""Bands that change for reasons of their own: none may outvote all others."""

from __future__ import annotations

import numpy as np
from scipy.special import logsumexp

from suspirium.tables import load
from suspirium.take.sound.bands import Array


def with_strays(told: Array, unchanged: Array | None = None, chance: float | None = None) -> Array:
    """`told` (times, bands), logarithms of how likely each band is with an event at each time,
    if the band may as well change at any time by chance.

    With `unchanged`, how likely each band is without any event, the result is against that.
    `chance` is how probable such a change is, if it is not a band's.
    """
    stray = load("take").number("sound.stray_chance") if chance is None else chance
    by_chance = np.log(stray) + logsumexp(told, axis=0) - np.log(len(told))
    there = np.logaddexp(np.log(1 - stray) + told, by_chance)
    if unchanged is None:
        return np.asarray(there)
    return np.asarray(there - np.logaddexp(np.log(1 - stray) + unchanged, by_chance))
