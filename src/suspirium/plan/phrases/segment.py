"""The best ways to cut a melody into lines, by dynamic programming.

Several leanings are tried at once: none, and for certain line lengths (in units or in
ticks) a liking for lines of just those lengths. Each gives its own best few ways; the
union is what whole segmentations are then chosen from.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ends = tuple[int, ...]  # the boundaries chosen, ascending; boundary b stands before unit b

LONGEST = 24  # units in a line at most


def best_segmentations(
    ends: Array, lengths: Array, leanings: Sequence[Array], keep: int
) -> list[Ends]:
    """Up to `keep` segmentations for each leaning, without doubles.

    `ends[b - 1]` is the score of an end at boundary `b` (n - 1 of them for n units);
    `lengths[m]` the score of a line of `m` units, m from 0 to `LONGEST`; a leaning is an
    array (n, LONGEST + 1) added to the score of the line that begins at unit i and has m
    units.
    """
    count = len(ends) + 1
    scores = np.stack(leanings) + lengths  # (leaning, begin, length)
    gain = np.append(ends, 0.0)
    kinds = scores.shape[0]
    best = np.full((count + 1, kinds, keep), -np.inf)
    source = np.zeros((count + 1, kinds, keep), dtype=np.int64)
    best[0, :, 0] = 0.0
    for to in range(1, count + 1):
        low = max(0, to - LONGEST)
        begins = np.arange(low, to)
        line = scores[:, begins, to - begins]  # (leaning, begin)
        total = best[low:to].transpose(1, 0, 2) + line[:, :, None]
        flat = total.reshape(kinds, -1)
        if flat.shape[1] > keep:
            picked = np.argpartition(flat, -keep, axis=1)[:, -keep:]
        else:
            picked = np.broadcast_to(np.arange(flat.shape[1]), flat.shape)
        width = picked.shape[1]
        best[to, :, :width] = np.take_along_axis(flat, picked, axis=1) + gain[to - 1]
        source[to, :, :width] = picked + low * keep
    return _trace(best[count], source, keep)


def _trace(final: Array, source: NDArray[np.int64], keep: int) -> list[Ends]:
    """The boundaries of every finite way, read backwards from the end of the melody."""
    back = source.tolist()
    found: dict[Ends, None] = {}
    for kind, row in enumerate(final.tolist()):
        for rank in sorted(range(len(row)), key=lambda r: -row[r]):
            if row[rank] == -np.inf:
                continue
            way: list[int] = []
            at, place = len(back) - 1, rank
            while True:
                at, place = divmod(back[at][kind][place], keep)
                if at == 0:
                    break
                way.append(at)
            found[tuple(reversed(way))] = None
    return list(found)
