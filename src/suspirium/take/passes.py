"""From the path to what was played: introduction, stanzas, restarts, and what lies outside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from suspirium.tables import load
from suspirium.take.path import OUTSIDE, Chords, Path
from suspirium.take.structure import Planned, Run, Times, read


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
    end) was played again before the next stanza. `unsure` says that with and without an
    introduction the take is about as likely.
    """

    introduction: Pass | None
    stanzas: tuple[Pass, ...]
    outside: tuple[int, ...]
    interludes: tuple[int, ...] = ()
    unsure: bool = False


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


def passes(
    chords: Chords, path: Path, planned: Planned | int, times: Times | None = None
) -> Passes:
    """Runs put together as they are likeliest read; `planned` may be the number of stanzas
    alone."""
    all_runs = runs(path)
    if isinstance(planned, int):
        planned = Planned(planned)
    reading = read(chords, all_runs, planned, times)
    introduction: list[Run] = []
    stanzas: list[list[Run]] = []
    between: list[int] = []
    for run, kind in zip(all_runs, reading.kinds, strict=True):
        if kind == "introduction":
            introduction.append(run)
        elif kind == "stanza":
            stanzas.append([run])
        elif kind == "on":
            stanzas[-1].append(run)
        else:
            between.append(len(stanzas) - 1)
    return Passes(
        _pass(chords, introduction) if introduction else None,
        tuple(_pass(chords, group) for group in stanzas),
        tuple(i for i, step in enumerate(path.steps) if step.chord == OUTSIDE),
        tuple(dict.fromkeys(between)),
        reading.margin < load("take")["structure.unsure"],
    )


def _pass(chords: Chords, group: Sequence[Run]) -> Pass:
    return Pass(int(chords.way[group[0].first]), tuple(group))
