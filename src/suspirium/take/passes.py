"""From the path to what was played: introduction, stanzas, restarts, and what lies outside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from suspirium.tables import load
from suspirium.take.path import OUTSIDE, Chords, Path


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
class Pass:
    """Once through the score, or a part of it: the runs it is made of, in order."""

    way: int
    runs: tuple[Run, ...]

    @property
    def played(self) -> dict[int, tuple[int, ...]]:
        """The clusters of each chord; where a passage was begun again, of its last time."""
        found: dict[int, tuple[int, ...]] = {}
        for run in self.runs:
            for chord in [chord for chord in found if chord >= run.first]:
                if chord <= run.last:
                    del found[chord]
            for cluster, chord in run.steps:
                found[chord] = (*found.get(chord, ()), cluster)
        return found

    @property
    def restarts(self) -> tuple[tuple[int, int], ...]:
        """Where it broke off and where it began again, as chords."""
        return tuple(
            (before.last, after.first)
            for before, after in zip(self.runs, self.runs[1:], strict=False)
            if after.first <= before.last
        )


@dataclass(frozen=True, slots=True)
class Passes:
    """What a take consists of; `outside` are the clusters that belong to nothing.

    `interludes` are the indices of the stanzas after which the last line (or more of the
    end) was played again before the next stanza.
    """

    introduction: Pass | None
    stanzas: tuple[Pass, ...]
    outside: tuple[int, ...]
    interludes: tuple[int, ...] = ()


def runs(path: Path) -> tuple[Run, ...]:
    """The path cut at every jump and at what lies outside."""
    found: list[list[tuple[int, int]]] = []
    outside = True
    for cluster, step in enumerate(path.steps):
        if step.chord == OUTSIDE:
            outside = True
            continue
        if outside or step.jumped:
            found.append([])
        found[-1].append((cluster, step.chord))
        outside = False
    return tuple(Run(tuple(steps)) for steps in found)


def passes(chords: Chords, path: Path, stanzas_planned: int) -> Passes:
    """Runs put together: a stanza goes on until its end was played."""
    found: list[list[Run]] = []
    between: list[int] = []
    all_runs = runs(path)
    for run, following in zip_longest(all_runs, all_runs[1:]):
        if found and _is_interlude(chords, found[-1][-1], run, following):
            between.append(len(found))
        elif found and _goes_on(chords, found[-1], run):
            found[-1].append(run)
        else:
            found.append([run])
    groups = _lines_before(chords, found)
    all_passes = [Pass(int(chords.way[group[0].first]), tuple(group)) for group in groups]
    outside = tuple(i for i, step in enumerate(path.steps) if step.chord == OUTSIDE)
    introduction = _introduction(chords, all_passes, stanzas_planned)
    stanzas = tuple(all_passes[introduction is not None :])
    late = len(groups) - len(found) - (introduction is not None)
    return Passes(introduction, stanzas, outside, tuple(at + late - 1 for at in between))


def _is_interlude(chords: Chords, before: Run, run: Run, following: Run | None) -> bool:
    """Whether a run is the end of the hymn once more, between two stanzas."""
    return (
        following is not None
        and _at_end(chords, before.last)
        and chords.chords[run.first].opens
        and chords.chords[run.first].phrase > 0
        and _at_end(chords, run.last)
        and chords.chords[following.first].phrase == 0
    )


def _goes_on(chords: Chords, group: Sequence[Run], run: Run) -> bool:
    """Whether this run belongs to the same pass.

    A new one begins where the last was at its end and this begins in the first line.
    """
    last = group[-1].last
    if chords.way[last] != chords.way[run.first]:
        return False
    return not (_at_end(chords, last) and chords.chords[run.first].phrase == 0)


def _lines_before(chords: Chords, found: list[list[Run]]) -> list[list[Run]]:
    """Whole lines from the beginning, played once before it begins again, are an introduction
    of their own: who breaks off does so inside a line, or more than once."""
    if not found or len(found[0]) < 2:
        return found
    lines, *rest = found[0]
    begins = [run for run in found[0] if chords.first[run.first]]
    whole = chords.first[lines.first] and chords.ends_line[lines.last]
    if whole and begins == [lines, rest[0]]:
        return [[lines], rest, *found[1:]]
    return found


def _at_end(chords: Chords, chord: int) -> bool:
    """Whether at most a few chords of the stanza are left."""
    following = chords.last[chord : chord + int(load("take")["pass.most_lost"]) + 1]
    return bool(following.any())


def _introduction(chords: Chords, found: Sequence[Pass], planned: int) -> Pass | None:
    """The first pass, where it is one too many or only a part of the hymn."""
    if len(found) < 2:
        return None
    first = found[0]
    share = len(first.played) / _length(chords, first.way)
    part = share < load("take")["introduction.most_share"]
    if len(found) > planned or (part and not _begun_late(chords, first)):
        return first
    return None


def _length(chords: Chords, way: int) -> int:
    return int((chords.way == way).sum())


def _begun_late(chords: Chords, first: Pass) -> bool:
    """Whether a take simply begins in the middle: inside a line."""
    return not chords.chords[first.runs[0].first].opens
