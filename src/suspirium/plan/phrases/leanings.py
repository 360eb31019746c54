"""Likings for certain line lengths, tried side by side with none at all."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from suspirium.plan.phrases.bars import Bars
from suspirium.plan.phrases.line import Line
from suspirium.plan.phrases.segment import LONGEST, Array

AMOUNT = 2.0  # how much a liking adds to the score of a line
UNITS = ((8,), (7,), (6,), (8, 7), (8, 6), (7, 6), (10,), (11,), (6, 4), (8, 4))
BARS = (2, 4, 3, 1)


def leanings(line: Line, bars: Bars) -> list[Array]:
    """Arrays (units, LONGEST + 1): none, for lengths in units, for lengths in bars."""
    shape = (line.count, LONGEST + 1)
    found: list[Array] = [np.zeros(shape)]
    for lengths in UNITS:
        array = np.zeros(shape)
        array[:, list(lengths)] = AMOUNT
        found.append(array)
    return [*found, *(_in_bars(line, bars.length) if bars.length else ())]


def _in_bars(line: Line, bar: int) -> Sequence[Array]:
    """The last line's last note may be cut short, as the next stanza's pickup follows."""
    starts = np.array(line.starts)
    begins = np.arange(line.count)[:, None]
    stops = np.minimum(begins + np.arange(LONGEST + 1), line.count)
    lasting = starts[stops] - starts[begins]
    final = stops == line.count
    return [
        AMOUNT
        * np.where(
            final, (lasting <= n * bar) & (lasting > (n - 1) * bar), lasting == n * bar
        ).astype(float)
        for n in BARS
    ]
