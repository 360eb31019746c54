"""What a single line is like, wherever it begins and however long it is.

Arrays have the shape (units, LONGEST + 1): the line that begins at unit i and has m units.
Where such a line would run past the end of the melody the value is 0.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from suspirium.plan.phrases.bars import Bars
from suspirium.plan.phrases.line import Line
from suspirium.plan.phrases.segment import LONGEST, Array

Spans = dict[str, Array]
Ints = NDArray[np.int64]

LEAST = 3  # units from which on a line can come back
USUAL = 8  # units in an average line


def span_arrays(line: Line, bars: Bars) -> Spans:
    """All features of single lines."""
    grid = _Grid(line, bars)
    return grid.in_bars() | grid.closes() | grid.returns()


class _Grid:
    """Every line of a melody at once: begins down, lengths across."""

    def __init__(self, line: Line, bars: Bars) -> None:
        count = line.count
        self.count = count
        self.begins = np.arange(count)[:, None]
        self.lengths = np.arange(LONGEST + 1)[None, :]
        ends = self.begins + self.lengths
        self.valid = (self.lengths > 0) & (ends <= count)
        self.inner = (self.lengths > 0) & (ends < count)
        self.ends = np.minimum(ends, count)
        self.line, self.bars = line, bars
        self.starts = np.array(line.starts)
        self.rhythm = np.diff(self.starts)

    def in_bars(self) -> Spans:
        """Lines of whole bars; the last line's last note counts as filling its bar."""
        starts, bar = self.starts.copy(), self.bars.length
        usual = (starts[-1] - starts[0]) / self.count * USUAL
        if bar:
            starts[-1] = starts[0] + -(-(starts[-1] - starts[0]) // bar) * bar
        lasting = np.where(self.valid, starts[self.ends] - starts[self.begins], 0)
        found: Spans = {
            f"in_bars_{n}": (self.valid & bool(bar) & (lasting == n * bar)).astype(float)
            for n in (1, 2, 3, 4)
        }
        step = bar or 1
        phases = np.array([self.bars.phase(t) for t in self.line.starts[:-1]]) % step
        following = phases[np.minimum(self.ends, self.count - 1)]
        metred = self.valid & bool(bar)
        found["in_bars"] = (metred & (lasting % step == 0)).astype(float)
        found["in_half_bars"] = (metred & (lasting % step != 0) & (2 * lasting % step == 0)).astype(
            float
        )
        found["same_place"] = (self.inner & bool(bar) & (phases[self.begins] == following)).astype(
            float
        )
        found["lasting"] = np.where(self.valid, np.log2(np.maximum(lasting, 1) / usual), 0.0)
        return found

    def closes(self) -> Spans:
        """Whether a line has a longer note inside than at its close, or one as long."""
        within = np.zeros(self.valid.shape, dtype=np.int64)
        for m in range(2, LONGEST + 1):
            reach = max(0, self.count - m + 1)
            within[:reach, m] = np.maximum(
                within[:reach, m - 1], self.rhythm[m - 2 : m - 2 + reach]
            )
        close = self.rhythm[np.maximum(self.ends - 1, 0)]
        return {
            "longer_inside": (self.inner & (within > close)).astype(float),
            "equal_inside": (self.inner & (within == close)).astype(float),
        }

    def returns(self) -> Spans:
        """Whether a line's rhythm (but for its last unit) or tune comes back elsewhere."""
        rhythm = _runs([int(length) for length in self.rhythm])
        tune = _runs(self._tune())
        long = self.valid & (self.lengths >= LEAST)
        times = self._times(rhythm)
        steps = np.maximum(self.lengths - 1, 1)
        following = np.minimum(self.ends, self.count)
        onward = self.inner & (self.lengths >= LEAST)
        return {
            "rhythm_returns": (long & (times >= 1)).astype(float),
            "rhythm_returns_twice": (long & (times >= 2)).astype(float),
            "tune_returns": (long & (self._times(tune) >= 1)).astype(float),
            "rhythm_of_opening": (
                long & (self.begins > 0) & (rhythm[: self.count, :1] >= self.lengths - 1)
            ).astype(float),
            "rhythm_next": np.where(
                onward, np.minimum(rhythm[self.begins, following], steps) / steps, 0.0
            ),
            "tune_next": np.where(
                onward, np.minimum(tune[self.begins, following], steps) / steps, 0.0
            ),
        }

    def _tune(self) -> list[int]:
        """A number for each unit, the same for the same pitches in the same rhythm."""
        line = self.line
        units = [
            (int(length), *(note.pitch for note in line.notes[first : last + 1]))
            for length, first, last in zip(
                self.rhythm, line.first_note, line.last_note, strict=True
            )
        ]
        numbers = {unit: number for number, unit in enumerate(dict.fromkeys(units))}
        return [numbers[unit] for unit in units]

    def _times(self, runs: Ints) -> Ints:
        """How often each line comes back without overlapping itself."""
        places = np.arange(self.count)
        apart = np.abs(places[:, None] - places[None, :])
        room = np.minimum(apart, self.count - places[None, :])
        longest = np.minimum(runs[:-1, :-1] + 1, room)
        counts = np.zeros(self.valid.shape, dtype=np.int64)
        for m in range(LEAST, LONGEST + 1):
            counts[:, m] = (longest >= m).sum(1)
        return counts


def _runs(row: Sequence[int]) -> Ints:
    """For two places the number of entries that agree from there on; shape (n + 1, n + 1)."""
    values = np.array(row)
    count = len(values)
    runs = np.zeros((count + 1, count + 1), dtype=np.int64)
    for i in range(count - 1, -1, -1):
        runs[i, :-1] = np.where(values == values[i], runs[i + 1, 1:] + 1, 0)
        runs[i, i] = 0
    return runs
