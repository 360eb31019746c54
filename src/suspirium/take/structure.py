"""What each run of a take is: introduction, stanza, a stanza going on, interlude.

The likeliest reading of all runs together, by dynamic programming over runs and the number
of stanzas so far; costs are natural logarithms of how unlikely a thing is. Where keys leave
it open, times decide: a stanza, an interlude or what follows an introduction comes after
about the planned gap, something begun again after a stop of any length.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import inf
from operator import itemgetter
from typing import Literal

import numpy as np

from suspirium.tables import load
from suspirium.take.path import Chords
from suspirium.take.times import Pace, closing_chord, gap_cost

Stretch = tuple[Fraction, Fraction]  # written onsets of a first and a last melody note
Kind = Literal["introduction", "stanza", "on", "interlude"]
_State = tuple[Kind, int]  # "stanza" stands for going on, too; stanzas so far, up to the planned


@dataclass(frozen=True, slots=True)
class Run:
    """Clusters played in one go: (cluster, chord) pairs, chords never going back."""

    steps: tuple[tuple[int, int], ...]

    @property
    def first(self) -> int:
        """The first chord."""
        return self.steps[0][1]

    @property
    def last(self) -> int:
        """The last chord."""
        return self.steps[-1][1]


@dataclass(frozen=True, slots=True)
class Times:
    """When clusters began and the pace by which their distances are judged."""

    onsets_s: Sequence[float]
    pace: Pace


@dataclass(frozen=True, slots=True)
class Planned:
    """How many stanzas are planned, and the chords that begin and end each piece of the
    introduction that is."""

    stanzas: int
    introduction: tuple[tuple[int, int], ...] = ()


def pieces(chords: Chords, written: Sequence[Stretch]) -> tuple[tuple[int, int], ...]:
    """The chords that begin and end stretches of the written score, in every way."""
    at_q = [chord.written_q for chord in chords.chords]
    found = []
    for first_q, last_q in written:
        for first in (i for i, q in enumerate(at_q) if q == first_q):
            same = range(first, len(at_q))
            last = next((i for i in same if at_q[i] == last_q), None)
            if last is not None and chords.way[first] == chords.way[last]:
                found.append((first, last))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Reading:
    """What each run is; `margin` is how much dearer the best reading is that has an
    introduction where this has none, or none where it has one."""

    kinds: tuple[Kind, ...]
    margin: float


def read(
    chords: Chords, runs: Sequence[Run], planned: Planned, times: Times | None = None
) -> Reading:
    """The likeliest reading of the runs; without `times`, gaps tell nothing."""
    if not runs:
        return Reading((), inf)
    costs = _Costs(chords, runs, planned, times)
    known = sorted((_best(runs, costs, *begin) for begin in costs.begins()), key=itemgetter(0))
    return Reading(known[0][1], known[1][0] - known[0][0])


def _best(
    runs: Sequence[Run], costs: _Costs, begin: Kind, cost: float
) -> tuple[float, tuple[Kind, ...]]:
    """Cost and kinds of the likeliest reading that begins so."""
    most = costs.planned.stanzas
    reached: dict[_State, float] = {(begin, int(begin == "stanza")): cost}
    back: list[dict[_State, tuple[_State, Kind]]] = []
    for index in range(1, len(runs)):
        moves = {kind: list(costs.moves(kind, index)) for kind, _ in reached}
        found: dict[_State, float] = {}
        how: dict[_State, tuple[_State, Kind]] = {}
        for (state, count), so_far in reached.items():
            for kind, more in moves[state]:
                new = kind == "stanza"
                total = so_far + more + (costs.too_many if new and count >= most else 0.0)
                to: _State = ("stanza" if kind == "on" else kind, min(most, count + new))
                if total < found.get(to, inf):
                    found[to], how[to] = total, ((state, count), kind)
        reached = found
        back.append(how)
    ends = {state: cost + costs.ends(*state) for state, cost in reached.items()}
    at = min(ends, key=ends.__getitem__)
    cost, kinds = ends[at], []
    for how in reversed(back):
        at, kind = how[at]
        kinds.append(kind)
    return cost, (begin, *reversed(kinds))


class _Costs:
    """What readings cost, run by run."""

    def __init__(
        self, chords: Chords, runs: Sequence[Run], planned: Planned, times: Times | None
    ) -> None:
        self.chords, self.runs, self.planned, self.times = chords, runs, planned, times
        self.table = load("take")
        self.too_many = self.table.number("structure.too_many")
        self.unfinished = self.table.number("structure.unfinished")
        self.near = int(self.table["pass.most_lost"])

    def begins(self) -> tuple[tuple[Kind, float], tuple[Kind, float]]:
        """A take begins with an introduction or with a stanza, perhaps in its midst."""
        run, table = self.runs[0], self.table
        opens = bool(self.chords.chords[run.first].opens)
        late = 0.0
        if self.chords.chords[run.first].phrase > 0 or not opens:
            late = table["structure.late_line" if opens else "structure.late_inside"]
        return ("stanza", late), ("introduction", self._introduces(run))

    def moves(self, state: Kind, index: int) -> Iterator[tuple[Kind, float]]:
        """What this run may be after one in `state`, and what that costs."""
        before, run, table = self.runs[index - 1], self.runs[index], self.table
        gap = self._gap(index)
        opens = bool(self.chords.chords[run.first].opens)
        in_first = self.chords.chords[run.first].phrase == 0
        at_end = self._at_end(before.last)
        late = "structure.late_line" if opens else "structure.late_anew"
        anew = gap + (0.0 if in_first else table.number(late))
        if state == "introduction":
            back = self._back(index) if run.first <= before.last else 0.0
            yield "introduction", 0.0 if self._planned(run) else self._introduces(run) + back
            late_q = self._late_q(index)
            if late_q is not None:  # the stanza may come in time, as the next line would
                joined = table.number("introduction.joined")
                anew += min(0.0, joined + table.number("cost.late_end") * abs(late_q) - gap)
            yield "stanza", anew + (0.0 if self._line_end(before.last) else self.unfinished)
            return
        yield "stanza", anew + (0.0 if at_end else self.unfinished)
        ended = self.chords.ends_line[before.last] and at_end
        if ended and opens and not in_first and self._at_end(run.last):
            yield "interlude", table.number("structure.interlude") + gap
        if state == "stanza" and self.chords.way[before.last] == self.chords.way[run.first]:
            yield "on", inf if at_end and in_first else self._back(index)

    def ends(self, state: Kind, count: int) -> float:
        """What it costs that a take ends so, after so many stanzas."""
        if state == "introduction":
            return inf
        last = self.table.number("structure.interlude_last") if state == "interlude" else 0.0
        return last + self.table.number("structure.too_few") * (self.planned.stanzas - count)

    def _introduces(self, run: Run) -> float:
        """What it costs that a run is (a piece of) an introduction."""
        chords, table = self.chords, self.table
        if self._planned(run):
            return table.number("introduction.planned")
        own = chords.way == chords.way[run.first]
        share = len({chord for _, chord in run.steps}) / int(own.sum())
        whole = chords.first[run.first] and self._at_end(run.last)
        if whole:
            return table.number("introduction.whole")
        if not chords.chords[run.first].opens:
            return table.number("introduction.inside")
        long = table.number("introduction.long") if share >= table["introduction.most_share"] else 0
        usual = "introduction.last_lines" if self._at_end(run.last) else "introduction.other_lines"
        return long + table.number(usual)

    def _planned(self, run: Run) -> bool:
        """Whether a run is a piece of the planned introduction, a few chords lost or none."""
        return any(
            abs(run.first - first) <= self.near and abs(run.last - last) <= self.near
            for first, last in self.planned.introduction
        )

    def _back(self, index: int) -> float:
        """What it costs to go back inside a stanza, or to leave some of it out."""
        before, run, table = self.runs[index - 1], self.runs[index], self.table
        if run.first > before.last:
            left_out = run.first - before.last > self.near + 1 and self._at_once(index)
            return table.number("structure.left_out") if left_out else 0.0
        late_q = self._late_q(index)
        hurried = late_q is not None and late_q < table["structure.stop_q"]
        at_once = table.number("structure.no_stop") if hurried else 0.0
        return table.number("cost.again_line") + table.number("cost.pause") + at_once

    def _at_once(self, index: int) -> bool:
        """Whether nothing was played between a run and the one before it."""
        return self.runs[index].steps[0][0] == self.runs[index - 1].steps[-1][0] + 1

    def _step_s(self, index: int) -> float | None:
        """From the last onset before a run to its first; None where that tells nothing."""
        if self.times is None or not self._at_once(index):
            return None
        end, begin = self.runs[index - 1].steps[-1][0], self.runs[index].steps[0][0]
        return self.times.onsets_s[begin] - self.times.onsets_s[end]

    def _late_q(self, index: int) -> float | None:
        """How much later a run begins than the next chord would; None where there is none."""
        step_s, last, chords = self._step_s(index), self.runs[index - 1].last, self.chords
        if step_s is None or self.times is None or chords.last[last]:
            return None
        expected_q = float(chords.planned_q[last + 1] - chords.planned_q[last])
        return step_s / self.times.pace.quarter_s - expected_q

    def _gap(self, index: int) -> float:
        """What the time before a run costs as a gap; nothing where it can't be told."""
        step_s, last, chords = self._step_s(index), self.runs[index - 1].last, self.chords
        if step_s is None or self.times is None or not self._line_end(last):
            return 0.0
        past_q = chords.planned_q[last] - chords.planned_q[closing_chord(chords.chords, last)]
        expected_q = np.array(self.times.pace.gap_q - past_q)
        return float(gap_cost(np.array(step_s), expected_q, self.times.pace))

    def _line_end(self, chord: int) -> bool:
        return bool(self.chords.ends_line[chord]) or self._at_end(chord)

    def _at_end(self, chord: int) -> bool:
        """Whether at most a few chords of the stanza are left."""
        return bool(self.chords.last[chord : chord + self.near + 1].any())
