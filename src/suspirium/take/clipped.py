"""Sound cut off at full scale: how much of a recording a microphone set too loud has lost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from suspirium.tables import load

Floats = NDArray[np.float32]


class Clipping:
    """Counts clipped samples in the blocks (samples, channels) that pass through it."""

    def __init__(self) -> None:
        self.clipped = self.samples = 0

    def through(self, blocks: Iterable[Floats]) -> Iterator[Floats]:
        """The same blocks, counted: a sample is clipped that ends a run at full scale."""
        table = load("take")
        full, run = table.number("clipped.full_scale"), int(table["clipped.run"])
        for block in blocks:
            self.samples += block.size
            if len(block) >= run and max(block.max(), -block.min()) >= full:
                high = np.abs(block) >= full
                ends = high[run - 1 :]
                for back in range(1, run):
                    ends = ends & high[run - 1 - back : len(high) - back]
                self.clipped += int(ends.sum())
            yield block

    @property
    def remarks(self) -> tuple[str, ...]:
        """What the organist should know of it."""
        share = self.clipped / self.samples if self.samples else 0.0
        if share < load("take").number("clipped.share"):
            return ()
        return (
            f"the recording is clipped: {_percent(share)} of it is cut off at full scale; the "
            "lifts are less sure. Set the recorder lower next time",
        )


def _percent(share: float) -> str:
    percent = 100 * share
    return f"{percent:.0f} %" if percent >= 1 else f"{percent:.1g} %"
