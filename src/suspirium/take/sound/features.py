"""What each frame of a recording looks like: which bands sound, how loud, and what begins."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import percentile_filter, uniform_filter1d

from suspirium.tables import load
from suspirium.take.sound.bands import FRAME_S, Array, Floats, without_room
from suspirium.take.sound.templates import compressed, unit

_BLOCK = 4096  # frames at a time, so that memory stays flat
_MARGIN = 4  # frames that a frame's neighbours reach


def features(energies: Floats, rt_s: float) -> tuple[Floats, Array, Floats]:
    """Unit rows of amplitudes, how loud each frame is against its surroundings (0 to 1), and
    how much each band rises there, as a share of the usual amplitude."""
    table = load("take")
    total = np.concatenate(
        [_power(energies, rt_s, at)[1].sum(1, dtype=np.float64) for at in _blocks(energies)]
    )
    near = percentile_filter(total, 80, size=round(table.number("sound.level_s") / FRAME_S))
    usual = np.maximum(near, table.number("sound.quiet") * np.percentile(total, 80))
    level = np.clip(total / (table.number("sound.loud") * usual + 1e-12), 0, 1)
    loud = np.sqrt(usual, dtype=np.float32)[:, None] + np.float32(1e-12)
    rows, rises = np.zeros_like(energies), np.zeros_like(energies)
    for at in _blocks(energies):
        around, power = _power(energies, rt_s, at)
        rows[at] = unit(compressed(np.sqrt(power)))
        rises[at] = _rises(np.sqrt(around), at.start, len(energies))[: len(power)] / loud[at]
    return rows, level, rises


def _blocks(energies: Floats) -> list[slice]:
    count = len(energies)
    return [slice(start, min(count, start + _BLOCK)) for start in range(0, count, _BLOCK)]


def _power(energies: Floats, rt_s: float, at: slice) -> tuple[Floats, Floats]:
    """The power given to each band in these frames, first with `_MARGIN` frames on either side
    (as far as there are any), then without."""
    first = max(0, at.start - _MARGIN)
    piece = energies[first : at.stop + _MARGIN]
    around = uniform_filter1d(without_room(piece, rt_s).power, 3, axis=0)
    return around, around[at.start - first : at.stop - first]


def _rises(amplitudes: Floats, start: int, count: int) -> Floats:
    """How much each band rises from two frames before to one after, from frame `start` of
    `count` on; the recording's first two and last frame tell nothing."""
    margin = min(_MARGIN, start)
    found = np.zeros_like(amplitudes)
    found[2:-1] = np.maximum(0, amplitudes[3:] - amplitudes[:-3])
    return found[margin:]
