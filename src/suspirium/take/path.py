"""The likeliest way of a take through the chords of a hymn.

A hidden Markov model over the chords, decoded by dynamic programming (Viterbi): each
cluster of the take is the next chord, skips some, is struck in two parts, or jumps - from
the end of a stanza to a beginning as often as stanzas are sung, seldom elsewhere - or
belongs to nothing in the hymn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from suspirium.tables import load
from suspirium.take.expected import Chord, Way

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]

OUTSIDE = -1
OCTAVES = (-12, 12)  # couplers, or a hand or foot in octaves
_PITCHES = 128
_MOST_SKIPPED = 3
_JUMP, _STAY, _ENTER = -1, 0, -2  # ways to come to a chord; above 0: how many chords on


@dataclass(frozen=True, slots=True)
class Step:
    """One cluster of the take and the chord it plays (`OUTSIDE` for none).

    `jumped` says that it does not follow on from the cluster before.
    """

    chord: int
    jumped: bool


@dataclass(frozen=True, slots=True)
class Path:
    """One step a cluster, and the cost of all."""

    steps: tuple[Step, ...]
    cost: float


class Chords:
    """The chords of all ways side by side, as arrays."""

    def __init__(self, ways: Sequence[Way]) -> None:
        self.chords: tuple[Chord, ...] = tuple(chord for way in ways for chord in way.chords)
        self.way = np.array([w for w, way in enumerate(ways) for _ in way.chords], dtype=np.intp)
        self.first = np.array([i == 0 for way in ways for i in range(len(way.chords))])
        self.last = np.array(
            [i == len(way.chords) - 1 for way in ways for i in range(len(way.chords))]
        )
        self.onset_q = np.array([float(chord.onset_q) for chord in self.chords])
        self.must = np.zeros((len(self.chords), _PITCHES))
        self.may = np.zeros((len(self.chords), _PITCHES))
        for index, chord in enumerate(self.chords):
            self.must[index, [key.midi for key in chord.keys if not key.optional]] = 1
            self.may[index, [*chord.may, *(key.midi for key in chord.keys if key.optional)]] = 1
        self.size = self.must.sum(1)
        table = load("take")
        line, inside = table.number("cost.jump_line"), table.number("cost.jump_inside")
        self.ends_line = np.array([_line_ends(self.chords, i) for i in range(len(self.chords))])
        self.leave = np.where(self.ends_line, line, inside)
        self.leave[self.last] = 0.0
        self.enter = np.array([line if chord.opens else inside for chord in self.chords])
        self.enter[self.first] = table["cost.jump_end"]

    def __len__(self) -> int:
        return len(self.chords)


def _moved(rows: Array, by: int) -> Array:
    """Rows over the pitches moved by `by` semitones."""
    moved = np.zeros_like(rows)
    if by > 0:
        moved[..., by:] = rows[..., :-by]
    else:
        moved[..., :by] = rows[..., -by:]
    return moved


def octaves_of(keys: Array, others: Array) -> float:
    """How many of the other pitches (rows of 0 and 1) are an octave from one of the keys."""
    near = np.maximum(_moved(keys, OCTAVES[0]), _moved(keys, OCTAVES[1]))
    return float(near @ others)


def _line_ends(chords: Sequence[Chord], index: int) -> bool:
    """Whether the line has nothing after this chord but what moves under its last note."""
    return chords[index].closes or index + 1 == len(chords) or chords[index + 1].opens


def pitch_rows(clusters: Sequence[Sequence[int]]) -> Array:
    """A row of 0 and 1 over the pitches for each cluster, given as MIDI numbers."""
    rows = np.zeros((len(clusters), _PITCHES))
    for index, pitches in enumerate(clusters):
        rows[index, list(pitches)] = 1
    return rows


def find_path(chords: Chords, rows: Array, onsets_s: Array, quarter_s: float | None = None) -> Path:
    """The cheapest path of clusters (pitch rows and onsets) through the chords.

    With `quarter_s`, the seconds of a quarter, intervals that fit the tempo cost less.
    """
    table = load("take")
    missing, emit = _emissions(chords, rows)
    outside = table["cost.outside"] * rows.sum(1)
    count = len(chords)
    came = np.zeros((len(rows), count), dtype=np.intp)
    source = np.zeros((len(rows), count), dtype=np.intp)
    out_from = np.full(len(rows), OUTSIDE, dtype=np.intp)
    best = chords.enter + emit[0]
    came[0] = _ENTER
    out = outside[0]
    skip = table["cost.missing"] * chords.size
    for t in range(1, len(rows)):
        interval_s = float(onsets_s[t] - onsets_s[t - 1])
        moves = _moves(chords, best, skip, interval_s, quarter_s)
        late = table["cost.stay_late"] if interval_s > table["cluster.most_s"] else 0.0
        moves[_STAY] = best + table["cost.stay"] + late - missing[t]  # what it lacks came before
        jump_from = int(np.argmin(best + chords.leave))
        jump = float(best[jump_from] + chords.leave[jump_from])
        entered = chords.enter + min(jump, out)
        how = np.argmin(moves, 0)
        cost = moves[how, np.arange(count)]
        jumped = entered < cost
        came[t] = np.where(jumped, _JUMP if jump <= out else _ENTER, how)
        source[t] = np.where(jumped, jump_from, np.arange(count) - how)
        if jump < out:
            out_from[t] = jump_from
        out = min(jump, out) + float(outside[t])
        best = np.where(jumped, entered, cost) + emit[t]
    return _traced(best + chords.leave, out, came, source, out_from)


def _emissions(chords: Chords, rows: Array) -> tuple[Array, Array]:
    """Cost of each cluster as each chord: of what is missing, and with what is too much."""
    table = load("take")
    hits = rows @ chords.must.T
    allowed = rows @ (chords.must + chords.may).T
    missing: Array = table["cost.missing"] * (chords.size[None, :] - hits)
    return missing, missing + table["cost.extra"] * (rows.sum(1)[:, None] - allowed)


def _moves(
    chords: Chords, best: Array, skip: Array, interval_s: float, quarter_s: float | None
) -> Array:
    """Cost of coming to each chord: row k from k chords before (row 0 is left open)."""
    count = len(chords)
    moves = np.full((_MOST_SKIPPED + 2, count), np.inf)
    skipped = np.zeros(count)
    for k in range(1, min(_MOST_SKIPPED + 2, count)):
        same = chords.way[k:] == chords.way[:-k]
        if k > 1:
            skipped[k:] = skipped[k:] + skip[1 : count - k + 1]
        cost = best[:-k] + skipped[k:]
        if quarter_s is not None:
            cost = cost + _timing(chords, k, interval_s, quarter_s)
        moves[k, k:] = np.where(same, cost, np.inf)
    return moves


def _timing(chords: Chords, k: int, interval_s: float, quarter_s: float) -> Array:
    """What an interval costs that is longer or shorter than the tempo says.

    Longer costs nothing where a line ends: lifts and stops belong there.
    """
    table = load("take")
    expected_s = (chords.onset_q[k:] - chords.onset_q[:-k]) * quarter_s
    ratio = np.log2(max(interval_s, 1e-3) / np.maximum(expected_s, 1e-3))
    ends = chords.leave[:-k] < table["cost.jump_inside"]
    ratio = np.where(ends, np.minimum(ratio, 0.0), ratio)
    costs: Array = np.minimum(table["cost.timing_most"], table["cost.timing"] * ratio**2)
    return costs


def _traced(best: Array, out: float, came: Indices, source: Indices, out_from: Indices) -> Path:
    steps: list[Step] = []
    at = int(np.argmin(best)) if best.min() < out else OUTSIDE
    cost = min(float(best.min()), out)
    for t in range(len(came) - 1, -1, -1):
        if at == OUTSIDE:
            steps.append(Step(OUTSIDE, jumped=False))
            at = int(out_from[t])
            continue
        how = int(came[t, at])
        steps.append(Step(at, jumped=how < 0))
        at = OUTSIDE if how == _ENTER else int(source[t, at])
    return Path(tuple(reversed(steps)), cost)
