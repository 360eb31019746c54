"""What the times of a take cost on its way through the chords of a hymn.

All are natural logarithms of how unlikely a time is. Inside a line intervals fit the tempo;
at its end they may be longer, by a beat added sooner than by a stop; between stanzas they
are about the planned gap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from suspirium.tables import load
from suspirium.take.expected import Chord

if TYPE_CHECKING:
    from suspirium.take.path import Chords

Array = npt.NDArray[np.float64]

_LEAST_S = 1e-3


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds of a quarter in a take, and the planned gap between stanzas (from the melody's
    last onset to the next first one) in quarters."""

    quarter_s: float
    gap_q: float


def step_costs(chords: Chords, steps_s: Array, most: int, pace: Pace | None) -> Array:
    """Costs of going 1 to `most` chords on in `steps_s` seconds, of shape (steps, most, chords):
    what is skipped, and with a pace, what the time costs. Row k, column c: to c from k + 1
    before it; infinite from another way."""
    count = len(chords)
    missing = load("take").number("cost.missing") * chords.size
    plain = np.full((most, count), np.inf)
    skipped = np.zeros(count)
    same = [chords.way[k:] == chords.way[:-k] for k in range(1, min(most + 1, count))]
    for k, own in enumerate(same, 1):
        if k > 1:
            skipped[k:] += missing[1 : count - k + 1]
        plain[k - 1, k:] = np.where(own, skipped[k:], np.inf)
    if pace is None:
        return np.broadcast_to(plain, (len(steps_s), *plain.shape))
    expected_q = np.ones((most, count))
    ends = np.zeros((most, count), dtype=bool)
    for k, own in enumerate(same, 1):
        expected_q[k - 1, k:] = np.where(own, chords.planned_q[k:] - chords.planned_q[:-k], 1.0)
        ends[k - 1, k:] = chords.ends_line[:-k]
    return plain + _timing(expected_q, ends, steps_s, pace)


def _timing(expected_q: Array, ends: npt.NDArray[np.bool_], steps_s: Array, pace: Pace) -> Array:
    """What intervals cost that are longer or shorter than the tempo says; where a line ends,
    a longer one is a beat added, or at most a stop."""
    table = load("take")
    step_s = np.maximum(steps_s, _LEAST_S)[:, None, None]
    ratio = np.log2(step_s / np.maximum(expected_q * pace.quarter_s, _LEAST_S))
    late_q = np.maximum(step_s / pace.quarter_s - expected_q, 0.0)
    usual = np.minimum(table.number("cost.timing_most"), table.number("cost.timing") * ratio**2)
    late = np.minimum(table.number("cost.stop"), table.number("cost.late_end") * late_q)
    costs: Array = np.where(ends & (ratio > 0), late, usual)
    return costs


def gap_costs(
    chords: Chords, last: npt.NDArray[np.intp], steps_s: Array, pace: Pace | None
) -> Array:
    """What it costs that the next stanza begins `steps_s` after one of the `last` chords of a
    way, of shape (steps, last): what is lost of the stanza, and with a pace, the time."""
    lost = np.array([chords.size[chord + 1 : _end(chords, chord) + 1].sum() for chord in last])
    lost *= load("take").number("cost.missing")
    if pace is None:
        return np.broadcast_to(lost, (len(steps_s), len(last)))
    closing = [closing_chord(chords.chords, int(end)) for end in last]
    expected_q = pace.gap_q - (chords.planned_q[last] - chords.planned_q[closing])
    return lost + gap_cost(steps_s[:, None], expected_q[None, :], pace)


def _end(chords: Chords, chord: int) -> int:
    """The last chord of the way of this one."""
    return chord + int(np.argmax(chords.last[chord:]))


def closing_chord(chords: Sequence[Chord], chord: int) -> int:
    """The chord of the melody's last note in the line of `chord`; itself where there is none."""
    line = chords[chord].phrase
    for way_on in (range(chord, -1, -1), range(chord + 1, len(chords))):
        for index in way_on:
            if chords[index].phrase != line:
                break
            if chords[index].closes:
                return index
    return chord


def gap_cost(gap_s: Array, expected_q: Array, pace: Pace) -> Array:
    """What it costs that a gap of so many quarters lasted so many seconds."""
    table = load("take")
    expected_s = np.maximum(expected_q * pace.quarter_s, _LEAST_S)
    ratio = np.log2(np.maximum(gap_s, _LEAST_S) / expected_s)
    costs: Array = np.minimum(table.number("cost.gap_most"), table.number("cost.gap") * ratio**2)
    return costs
