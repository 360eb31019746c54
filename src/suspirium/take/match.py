"""Matching a take to a plan: which key was meant by each one played.

Clusters find their chords by the likeliest path (`suspirium.take.path`); within and next
to each chord the keys are then told one by one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.take.clusters import Cluster, clusters
from suspirium.take.expected import Way, ways
from suspirium.take.likeliest import (
    all_voices,
    excerpt,
    likeliest,
    pitches_and_onsets,
    second_part,
)
from suspirium.take.model import Take
from suspirium.take.part import Part, part_ways
from suspirium.take.passes import Passes, passes
from suspirium.take.path import OUTSIDE, Array, Chords, Path, find_path, octaves_of
from suspirium.take.structure import Planned, Stretch, Times, pieces
from suspirium.take.times import Pace
from suspirium.take.told import PlayedPass, played_pass
from suspirium.units import quarters_to_seconds


@dataclass(frozen=True, slots=True)
class Match:
    """A take understood.

    `ways` have only the voices that were played, `parts` tells which, way by way.
    `transposed` is how many semitones it sounds above the score; `interludes` are the indices
    of the stanzas after which the end was played once more. `unsure` says that there may as
    well be an introduction where none is told, or none where one is.
    """

    take: Take
    ways: tuple[Way, ...]
    parts: tuple[Part, ...]
    transposed: int
    introduction: PlayedPass | None
    stanzas: tuple[PlayedPass, ...]
    outside: tuple[int, ...]
    interludes: tuple[int, ...]
    share: float
    unsure: bool = False


@dataclass(frozen=True, slots=True)
class _Heard:
    """A take decoded over ways of one part or of two; `parts` has each way's voices."""

    ways: tuple[Way, ...]
    parts: tuple[Part, ...]
    chords: Chords
    path: Path
    found: Passes

    @property
    def cut_short(self) -> int:
        """Times through that played only a part of their way."""
        least = load("take")["introduction.most_share"]
        lengths = [int((self.chords.way == one.way).sum()) for one in self.found.stanzas]
        return sum(
            len(one.played) < least * length
            for one, length in zip(self.found.stanzas, lengths, strict=True)
        )


def match(plan: LeadingPlan, take: Take, introduction: Sequence[Stretch] = ()) -> Match:
    """The take matched to the plan; raises `TakeError` if it is not this hymn.

    `introduction` are the stretches of the score that the planned introduction plays, if any:
    that a take begins with them is likelier than that it does with others.
    """
    whole, notes = ways(plan), take.notes
    judged = excerpt(notes)
    part, transposed, path, groups = likeliest(plan, whole, judged)
    chords = Chords(part_ways(whole, part))
    if len(judged) < len(notes):
        share = _share(chords, path, pitches_and_onsets(judged, groups, transposed)[0])
        if share < load("take").number("match.least_judged"):
            raise _another(plan, len(notes), share)
    quarter_s = quarters_to_seconds(1, plan.tempo.value.quarter_bpm)
    quarter_s = _quarter_s(chords, groups, path) or quarter_s
    groups = clusters(notes, _chain_s(chords, quarter_s))
    rows = pitches_and_onsets(notes, groups, transposed)
    heard = _heard(plan, whole, (part,), rows, quarter_s, introduction)
    share = _share(heard.chords, heard.path, rows[0])
    if share >= load("take")["part.second_share"]:
        other = second_part(plan, whole, notes, heard.path, (part, transposed), groups)
        if other is not None:
            both = _heard(plan, whole, (part, other), rows, quarter_s, introduction)
            gain = heard.path.cost - both.path.cost
            if gain >= load("take")["part.second_gain"] and both.cut_short <= heard.cut_short:
                heard, share = both, _share(both.chords, both.path, rows[0])
    if share < load("take")["match.least"]:
        raise _another(plan, len(notes), share)
    different = {step.chord for step in heard.path.steps} - {OUTSIDE}
    if len(different) < load("take")["match.least_chords"]:
        title = plan.hymn.title or "this hymn"
        raise TakeError(
            f"this take is not {title}, or hardly: {len(different)} of its chords were played; "
            "play a whole line"
        )
    found = heard.found
    tell = partial(played_pass, heard.chords, notes, groups, transposed=transposed)
    return Match(
        take=take,
        ways=heard.ways,
        parts=heard.parts,
        transposed=transposed,
        introduction=tell(found.introduction, lines_only=True) if found.introduction else None,
        stanzas=tuple(tell(one) for one in found.stanzas),
        outside=tuple(note for cluster in found.outside for note in groups[cluster].notes),
        interludes=found.interludes,
        share=share,
        unsure=found.unsure,
    )


def _heard(
    plan: LeadingPlan,
    whole: tuple[Way, ...],
    played: Sequence[Part],
    rows: tuple[Array, Array],
    quarter_s: float,
    introduction: Sequence[Stretch],
) -> _Heard:
    every = all_voices(plan)
    known = [
        (part, whole if part == every else part_ways(whole, part, lenient=True)) for part in played
    ]
    chords = Chords([way for _, own in known for way in own])
    pace = Pace(quarter_s, float(plan.gap.value.onset_to_onset_q))
    opening = pieces(chords, introduction)
    path = find_path(chords, *rows, pace, [first for first, _ in opening])
    planned = Planned(len(plan.stanza_numbers), opening)
    return _Heard(
        tuple(way for _, own in known for way in own),
        tuple(part for part, own in known for _ in own),
        chords,
        path,
        passes(chords, path, planned, Times(rows[1].tolist(), pace)),
    )


def _another(plan: LeadingPlan, notes: int, share: float) -> TakeError:
    title = plan.hymn.title or "this hymn"
    few = notes < load("take")["match.few"]
    found = f"only {share:.0%}" if share >= 0.005 else "none"
    return TakeError(
        f"this take is not {title}: {found} of its {notes} notes are found there in order; "
        f"{'play a whole line, or ' if few else ''}name the hymn that was played"
    )


def _share(chords: Chords, path: Path, pitches: Array) -> float:
    """How much of what was struck belongs to the chord it was taken for, octaves of its keys
    included, each key once: a chord struck over and over is no hymn."""
    hits = 0.0
    left: Array = np.zeros(0)
    before = OUTSIDE
    for row, step in zip(pitches, path.steps, strict=True):
        if step.chord != OUTSIDE:
            if step.jumped or step.chord != before:
                left = chords.must[step.chord].copy()
            hit = row * left
            hits += float(hit.sum()) + octaves_of(hit, row - hit)
            left[row > 0] = 0
        before = step.chord
    return hits / float(pitches.sum())


def _quarter_s(chords: Chords, groups: Sequence[Cluster], path: Path) -> float | None:
    """Seconds of a quarter: the median over neighbouring chords inside lines."""
    lengths = []
    for t in range(1, len(groups)):
        before, step = path.steps[t - 1], path.steps[t]
        if step.jumped or step.chord <= before.chord or before.chord < 0:
            continue
        if chords.chords[step.chord].opens:
            continue
        length_q = chords.onset_q[step.chord] - chords.onset_q[before.chord]
        lengths.append((groups[t].onset_s - groups[t - 1].onset_s) / length_q)
    return float(np.median(lengths)) if lengths else None


def _chain_s(chords: Chords, quarter_s: float) -> float:
    """How far apart onsets of one chord may lie: less than the quickest chords do."""
    table = load("take")
    steps = np.diff(chords.onset_q)
    shortest_s = float(steps[steps > 0].min()) * quarter_s if (steps > 0).any() else quarter_s
    return min(table.number("cluster.most_s"), table.number("cluster.share") * shortest_s)
