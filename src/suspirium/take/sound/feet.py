"""Where a curve leaves its course: level or line, then a ramp from a foot on, fitted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from suspirium.tables import load
from suspirium.take.sound.bands import Array

_KEPT = 64  # families of shapes: lengths come in whole grains


@dataclass(frozen=True, slots=True)
class Foot:
    """The step at which the ramp begins, and how much likelier (natural logarithm) the curve
    is with it than without."""

    at: int
    gain: float


def foot(
    curve: Array,
    first: int,
    last: int,
    ramps: tuple[int, ...],
    *,
    tilted: bool = False,
    doubt: Array | None = None,
) -> Foot | None:
    """The best foot between steps `first` and `last` of an upward ramp; None if none rises.

    `ramps` are the ramps' lengths in steps; after the ramp the curve may go on in any
    line, before it too if `tilted`, else it is level. `doubt` is subtracted from the
    log-likelihood of each step from `first` on.
    """
    if last < first:
        return None
    feet, shapes, plain = _shapes(len(curve), first, last, ramps, tilted)
    parts = shapes @ curve
    whole = float(curve @ curve)
    rest = np.maximum(1e-9, whole - (parts**2).sum(1))
    free = len(curve) / load("take").number("sound.onset_alike") / 2
    score = -free * np.log(rest)
    if doubt is not None:
        score = score - np.repeat(doubt, len(ramps))
    score = np.where(parts[:, -1] > 0, score, -np.inf)
    best = int(score.argmax())
    if score[best] == -np.inf:
        return None
    without = max(1e-9, whole - float(((plain @ curve) ** 2).sum()))
    return Foot(int(feet[best]), float(score[best] + free * np.log(without)))


@lru_cache(maxsize=_KEPT)
def _shapes(
    count: int, first: int, last: int, ramps: tuple[int, ...], tilted: bool
) -> tuple[Array, Array, Array]:
    """Feet (in steps); an orthonormal basis of each shape, the ramp last and pointing up
    (shapes, basis, count); and one of the course without any foot."""
    at = np.arange(count, dtype=float)
    course = [np.ones(count), at] if tilted else [np.ones(count)]
    feet, found = [], []
    for step in range(first, last + 1):
        for length in ramps:
            ramp = np.clip((at - step) / length, 0, 1)
            after = np.maximum(0, at - step - (length if tilted else 0))
            flat, corner = np.linalg.qr(np.stack([*course, after, ramp], axis=1))
            feet.append(step)
            found.append((flat * np.sign(np.diag(corner))).T)
    return np.array(feet), np.array(found), np.linalg.qr(np.stack(course, axis=1))[0].T
