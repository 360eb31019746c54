"""The likeliest way of a take through the chords of a hymn.

A hidden Markov model over the chords, decoded by dynamic programming (Viterbi): each
cluster of the take is the next chord, skips some, is struck in two parts, or jumps - from
the end of a stanza to a beginning as often as stanzas are sung, back to the beginning of a
line where a player begins again, seldom elsewhere - or belongs to nothing in the hymn.
Once the tempo is known, times count too (`suspirium.take.times`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from suspirium.tables import load
from suspirium.take.expected import Chord, Way
from suspirium.take.times import Pace, gap_costs, step_costs
from suspirium.units import seconds_to_quarters

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]

OUTSIDE = -1
OCTAVES = (-12, 12)  # couplers, or a hand or foot in octaves
_PITCHES = 128
_MOST_SKIPPED = 3
_STAY, _JUMP, _ENTER, _AGAIN, _ANEW = 0, -1, -2, -3, -4  # above 0: how many chords on
_BLOCK = 512  # clusters whose step costs are held at a time


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
        self._ways = tuple(ways)
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
        self.opens = np.flatnonzero([chord.opens for chord in self.chords])
        self.stop = np.where(
            self.ends_line, table["cost.again_line"], table["cost.again_inside"]
        )  # stopping here to begin the line again
        sizes = np.diff([*self.opens, len(self.chords)])
        reach = np.arange(int(sizes.max()))
        self.of_line = self.opens[:, None] + np.minimum(reach, sizes[:, None] - 1)

    def __len__(self) -> int:
        return len(self.chords)

    @cached_property
    def planned_q(self) -> Array:
        """When chords are planned, fermatas and stretches included, in quarters of the tempo."""
        return np.array(
            [
                seconds_to_quarters(way.clock.seconds(chord.onset_q), way.clock.quarter_bpm)
                for way in self._ways
                for chord in way.chords
            ]
        )


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


def find_path(
    chords: Chords,
    rows: Array,
    onsets_s: Array,
    pace: Pace | None = None,
    begins: Sequence[int] = (),
) -> Path:
    """The cheapest path of clusters (pitch rows and onsets) through the chords.

    With `pace`, intervals that fit the tempo cost less. `begins` are chords at which a planned
    introduction begins: a take may well begin there.
    """
    return _Finder(chords, rows, onsets_s, pace).run(begins)


class _Finder:
    """The tables of the dynamic programme, cluster by cluster."""

    def __init__(self, chords: Chords, rows: Array, onsets_s: Array, pace: Pace | None) -> None:
        table = load("take")
        self.chords, self.pace, count = chords, pace, len(rows)
        self.missing, self.emit = _emissions(chords, rows)
        self.outside = table["cost.outside"] * rows.sum(1)
        self.steps_s = np.diff(onsets_s, prepend=onsets_s[:1])
        late = self.steps_s > table["cluster.most_s"]
        self.stay = table["cost.stay"] + np.where(late, table["cost.stay_late"], 0.0)
        self.pause = table.number("cost.pause")
        self.ends, self.firsts = _at_ends(chords), np.flatnonzero(chords.first)
        self.every, self.lines = np.arange(len(chords)), np.arange(len(chords.opens))
        self.moves = np.full((_MOST_SKIPPED + 2, len(chords)), np.inf)
        self.gaps = gap_costs(chords, self.ends, self.steps_s, pace)
        self.came = np.zeros((count, len(chords)), dtype=np.int8)
        self.again_from = np.zeros((count, len(chords.opens)), dtype=np.int32)
        self.jump_from = np.zeros(count, dtype=np.int32)
        self.anew_from = np.zeros(count, dtype=np.int32)
        self.out_from = np.full(count, OUTSIDE, dtype=np.int32)

    def run(self, begins: Sequence[int]) -> Path:
        """Fills the tables and reads the cheapest path back."""
        chords = self.chords
        begin = chords.enter.copy()
        begin[list(begins)] = np.minimum(
            begin[list(begins)], load("take").number("cost.begin_planned")
        )
        best, out = begin + self.emit[0], float(self.outside[0])
        self.came[0] = _ENTER
        costs = np.zeros((0, 0, 0))
        for t in range(1, len(self.emit)):
            if (t - 1) % _BLOCK == 0:
                steps_s = self.steps_s[t : t + _BLOCK]
                costs = step_costs(chords, steps_s, _MOST_SKIPPED + 1, self.pace)
            how, cost = self._on(t, best, costs[(t - 1) % _BLOCK])
            left = best + chords.leave
            at = int(left.argmin())
            jump = float(left[at])
            self.jump_from[t] = at
            self._enter(min(jump, out), out, jump <= out, how, cost)
            self._again(t, best, how, cost)
            self._anew(t, best, left, how, cost)
            self.came[t] = how
            if jump < out:
                self.out_from[t] = at
            out = min(jump, out) + float(self.outside[t])
            best = cost + self.emit[t]
        return self._traced(best + chords.leave, out)

    def _on(self, t: int, best: Array, step: Array) -> tuple[Indices, Array]:
        """Staying, going on and skipping: how each chord is best come to, and the cost."""
        for k in range(1, min(_MOST_SKIPPED + 2, len(self.chords))):
            np.add(best[:-k], step[k - 1, k:], out=self.moves[k, k:])
        self.moves[_STAY] = best + self.stay[t] - self.missing[t]  # what it lacks came before
        how = self.moves.argmin(0)
        return how, self.moves[how, self.every]

    def _enter(self, jump: float, out: float, inside: bool, how: Indices, cost: Array) -> None:
        """From anywhere to anywhere; to a stanza's beginning only from outside (`_anew`)."""
        entered = self.chords.enter + jump
        entered[self.firsts] = self.chords.enter[self.firsts] + out
        cheaper = entered < cost
        how[cheaper] = _JUMP if inside else _ENTER
        how[self.firsts[cheaper[self.firsts]]] = _ENTER
        np.minimum(cost, entered, out=cost)

    def _again(self, t: int, best: Array, how: Indices, cost: Array) -> None:
        """A line begun again, from wherever in it the player stops."""
        opens = self.chords.opens
        stopped = (best + self.chords.stop)[self.chords.of_line]
        back = stopped.argmin(1)
        begun = stopped[self.lines, back] + self.pause
        self.again_from[t] = opens + back
        again = begun < cost[opens]
        how[opens[again]] = _AGAIN
        cost[opens[again]] = begun[again]

    def _anew(self, t: int, best: Array, left: Array, how: Indices, cost: Array) -> None:
        """The next stanza after the gap, or one broken off to begin again from its top."""
        ended = best[self.ends] + self.gaps[t]
        at_end = int(ended.argmin())
        left[self.ends] = np.inf
        inner = int(left.argmin())
        from_top = float(left[inner]) + self.pause
        in_time = float(ended[at_end]) <= from_top
        self.anew_from[t] = self.ends[at_end] if in_time else inner
        anew = min(from_top, float(ended[at_end])) + self.chords.enter[self.firsts]
        new = anew < cost[self.firsts]
        how[self.firsts[new]] = _ANEW
        cost[self.firsts[new]] = anew[new]

    def _traced(self, best: Array, out: float) -> Path:
        steps: list[Step] = []
        at = int(np.argmin(best)) if best.min() < out else OUTSIDE
        cost = min(float(best.min()), out)
        for t in range(len(self.came) - 1, -1, -1):
            if at == OUTSIDE:
                steps.append(Step(OUTSIDE, jumped=False))
                at = int(self.out_from[t])
                continue
            how = int(self.came[t, at])
            steps.append(Step(at, jumped=how < 0))
            if how >= 0:
                at -= how
            elif how == _AGAIN:
                at = int(self.again_from[t, np.searchsorted(self.chords.opens, at)])
            else:
                at = {_JUMP: int(self.jump_from[t]), _ANEW: int(self.anew_from[t])}.get(
                    how, OUTSIDE
                )
        return Path(tuple(reversed(steps)), cost)


def _at_ends(chords: Chords) -> Indices:
    """The last chords of ways and the few before them: a stanza may lose its last ones."""
    near = int(load("take")["pass.most_lost"])
    ends = np.flatnonzero(chords.last)
    every = (ends[:, None] - np.arange(near + 1)).ravel()
    same = chords.way[np.maximum(every, 0)] == np.repeat(chords.way[ends], near + 1)
    found: Indices = np.unique(every[same & (every >= 0)])
    return found


def _emissions(chords: Chords, rows: Array) -> tuple[Array, Array]:
    """Cost of each cluster as each chord: of what is missing, and with what is too much."""
    table = load("take")
    hits = rows @ chords.must.T
    allowed = hits + rows @ chords.may.T
    missing: Array = table["cost.missing"] * (chords.size[None, :] - hits)
    return missing, missing + table["cost.extra"] * (rows.sum(1)[:, None] - allowed)
