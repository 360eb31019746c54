"""The best ways to cut a melody into lines, by dynamic programming.

Several leanings are tried at once: none, and for certain line lengths (in units or in
ticks) a liking for lines of just those lengths. Each gives its own best few ways; the
union is what whole segmentations are then chosen from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ends = tuple[int, ...]  # the boundaries chosen, ascending; boundary b stands before unit b

LONGEST = 24  # units in a line at most


@dataclass(frozen=True, slots=True)
class Scores:
    """What speaks for ends and for lines.

    `ends[b - 1]` is the score of an end at boundary `b` (n - 1 of them for n units);
    `lines[i, m]` that of a line of m units that begins at unit i: (n, LONGEST + 1);
    `signs[b - 1]` what printed signs add to an end, whatever the lines are like.
    """

    ends: Array
    lines: Array
    signs: Array

    def total(self, way: Ends) -> float:
        """The score of a segmentation: of its ends, its lines and the signs at its ends."""
        cuts = (0, *way, len(self.ends) + 1)
        at = [b - 1 for b in way]
        lines = sum(self.lines[a, min(b - a, LONGEST)] for a, b in pairwise(cuts))
        return float(self.ends[at].sum() + self.signs[at].sum() + lines)

    def sign_scores(self, ways: Sequence[Ends]) -> Array:
        """What printed signs add to each segmentation."""
        return np.array([self.signs[[b - 1 for b in way]].sum() for way in ways])


def best_segmentations(scores: Scores, leanings: Sequence[Array], keep: int) -> list[Ends]:
    """Up to `keep` segmentations for each leaning, without doubles.

    A leaning is an array like `scores.lines` that is added to it.
    """
    count = len(scores.ends) + 1
    lines = np.stack(leanings) + scores.lines  # (leaning, begin, length)
    gain = np.append(scores.ends + scores.signs, 0.0)
    kinds = lines.shape[0]
    best = np.full((count + 1, kinds, keep), -np.inf)
    source = np.zeros((count + 1, kinds, keep), dtype=np.int64)
    best[0, :, 0] = 0.0
    for to in range(1, count + 1):
        low = max(0, to - LONGEST)
        begins = np.arange(low, to)
        line = lines[:, begins, to - begins]  # (leaning, begin)
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
