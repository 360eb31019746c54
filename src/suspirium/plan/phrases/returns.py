"""Where passages come back: the opening's rhythm or tune, the final cadence, any passage."""

from __future__ import annotations

from collections.abc import Sequence

from suspirium.plan.phrases.line import Line
from suspirium.plan.phrases.music import Columns

REACH = 12  # units followed at most
LEAST = 5  # units from which on a passage that comes back counts


def return_columns(line: Line) -> Columns:
    """Columns of how long the opening (or the close) returns at each boundary."""
    rhythm = [b - a for a, b in zip(line.starts, line.starts[1:], strict=False)]
    tune = [(length, *_shape(line, unit)) for unit, length in enumerate(rhythm)]
    count = line.count
    columns: Columns = {
        name: []
        for name in (
            "opening_rhythm",
            "opening_tune",
            "close_rhythm",
            "close_tune",
            "again_tune",
            "again_rhythm",
            "ends_again",
        )
    }
    again = _again(tune)
    again_rhythm = _again(rhythm)
    ends = _again(tune[::-1])[::-1]
    for b in range(1, count):
        columns["opening_rhythm"].append(_run(rhythm, 0, b, 1) / REACH)
        columns["opening_tune"].append(_run(tune, 0, b, 1) / REACH)
        columns["close_rhythm"].append(_run(rhythm, count - 2, b - 2, -1) / REACH)
        columns["close_tune"].append(_run(tune, count - 2, b - 2, -1) / REACH)
        columns["again_tune"].append(again[b] / REACH)
        columns["again_rhythm"].append(again_rhythm[b] / REACH)
        columns["ends_again"].append(ends[b - 1] / REACH)
    return columns


def _shape(line: Line, unit: int) -> tuple[int, ...]:
    """The pitches of a unit."""
    return tuple(
        line.notes[i].pitch for i in range(line.first_note[unit], line.last_note[unit] + 1)
    )


def _run(row: Sequence[object], one: int, other: int, step: int) -> int:
    """How many entries agree from two places on, in the direction of `step`."""
    length = 0
    while (
        0 <= one < len(row) and 0 <= other < len(row) and length < REACH and row[one] == row[other]
    ):
        one, other, length = one + step, other + step, length + 1
    return length


def _again(row: Sequence[object]) -> list[int]:
    """For each place the longest passage from there that also begins elsewhere, and that can't
    be begun earlier: the entries before the two differ (or there is none)."""
    count = len(row)
    # runs[j] of row i: agreement from i and j on, filled from the end backwards
    longest = [0] * count
    following = [0] * (count + 1)
    for i in range(count - 1, -1, -1):
        runs = [0] * (count + 1)
        here = row[i]
        for j in range(i + 1, count):
            if row[j] == here:
                runs[j] = following[j + 1] + 1
                if runs[j] >= LEAST and (i == 0 or row[i - 1] != row[j - 1]):
                    length = min(REACH, runs[j])
                    longest[i] = max(longest[i], length)
                    longest[j] = max(longest[j], length)
        following = runs
    return longest
