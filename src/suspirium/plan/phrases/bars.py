"""Where the boundaries of a melody stand in the bars."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from suspirium.plan.phrases.line import Line, ticks
from suspirium.score.model import Hymn


@dataclass(frozen=True, slots=True)
class Bars:
    """Bars in ticks: their onsets, their lengths and what is drawn at their ends.

    `length` is the usual bar (0 in free metre); `signs` are the ticks of double bars and
    repeat signs, `lines` those of all barlines.
    """

    onsets: tuple[int, ...]
    length: int
    signs: frozenset[int]
    lines: frozenset[int]

    def phase(self, tick: int) -> int:
        """Distance from the barline before `tick`."""
        return tick - self.onsets[max(0, bisect_right(self.onsets, tick) - 1)]


def read_bars(hymn: Hymn, line: Line) -> Bars:
    """The bars of a hymn; a pickup counts as the end of a bar that began before it."""
    scale = line.ticks_per_quarter
    length = _usual_length(hymn, scale)
    onsets: list[int] = []
    signs: set[int] = set()
    for measure in hymn.measures:
        end = ticks(measure.end_q, scale)
        if not measure.continues:
            onsets.append(ticks(measure.onset_q, scale))
        if measure.right in ("double", "final") or measure.repeat_end:
            signs.add(end)
        if measure.repeat_start:
            signs.add(ticks(measure.onset_q, scale))
    if length and len(onsets) > 1 and onsets[1] - onsets[0] < length:
        onsets[0] = onsets[1] - length
    lines = frozenset(ticks(measure.end_q, scale) for measure in hymn.measures)
    return Bars(tuple(onsets) or (0,), length, frozenset(signs), lines)


def _usual_length(hymn: Hymn, scale: int) -> int:
    """The bar length in force for most of the hymn, 0 if most of it is in free metre."""
    reach: dict[int, int] = {}
    changes = [*hymn.times]
    ends = [ticks(change.onset_q, scale) for change in changes[1:]]
    ends.append(ticks(hymn.end_q, scale) if hymn.measures else 1)
    for change, end in zip(changes, ends, strict=True):
        length = ticks(change.time.bar_q, scale) if change.time else 0
        reach[length] = reach.get(length, 0) + end - ticks(change.onset_q, scale)
    return max(reach, key=lambda length: (reach[length], length), default=0)
