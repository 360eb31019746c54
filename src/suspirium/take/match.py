"""Matching a take to a plan: which key was meant by each one played.

Clusters find their chords by the likeliest path (`suspirium.take.path`); within and next
to each chord the keys are then told one by one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.take.clusters import Cluster, clusters
from suspirium.take.expected import Way, ways
from suspirium.take.model import Take, TakeNote
from suspirium.take.part import Part, part_ways, parts, thin
from suspirium.take.passes import passes
from suspirium.take.path import OUTSIDE, Array, Chords, Path, find_path, pitch_rows
from suspirium.take.told import PlayedPass, played_pass
from suspirium.units import quarters_to_seconds


@dataclass(frozen=True, slots=True)
class Match:
    """A take understood. `part` are the voices that were played; `ways` have only these.
    `transposed` is how many semitones it sounds above the score; `interludes` are the indices
    of the stanzas after which the end was played once more."""

    take: Take
    ways: tuple[Way, ...]
    part: Part
    transposed: int
    introduction: PlayedPass | None
    stanzas: tuple[PlayedPass, ...]
    outside: tuple[int, ...]
    interludes: tuple[int, ...]
    share: float


def match(plan: LeadingPlan, take: Take) -> Match:
    """The take matched to the plan; raises `TakeError` if it is not this hymn."""
    whole = ways(plan)
    part, transposed, path, groups = _likeliest(plan, whole, take)
    known = whole if part == _voices(plan) else part_ways(whole, part, lenient=True)
    chords = Chords(known)
    quarter_s = quarters_to_seconds(1, plan.tempo.value.quarter_bpm)
    quarter_s = _quarter_s(chords, groups, path) or quarter_s
    groups = clusters(take.notes, _chain_s(chords, quarter_s))
    path = find_path(chords, *_rows(take.notes, groups, transposed), quarter_s)
    found = passes(chords, path, len(plan.stanza_numbers))
    played = [played_pass(chords, take.notes, groups, one, transposed) for one in found.stanzas]
    if found.introduction:
        played.insert(
            0, played_pass(chords, take.notes, groups, found.introduction, transposed, True)
        )
    outside = tuple(note for cluster in found.outside for note in groups[cluster].notes)
    share = _share(chords, take.notes, groups, path, transposed)
    if share < load("take")["match.least"]:
        title = plan.hymn.title or "this hymn"
        few = len(take.notes) < load("take")["match.few"]
        raise TakeError(
            f"this take is not {title}: only {share:.0%} of its {len(take.notes)} notes are found "
            f"there; {'play a whole line, or ' if few else ''}name the hymn that was played"
        )
    introduction = played.pop(0) if found.introduction else None
    return Match(
        take, known, part, transposed, introduction, tuple(played), outside, found.interludes, share
    )


def _share(
    chords: Chords,
    notes: Sequence[TakeNote],
    groups: Sequence[Cluster],
    path: Path,
    transposed: int,
) -> float:
    """How much of what was struck belongs to the chord it was taken for."""
    rows, _ = _rows(notes, groups, transposed)
    hits = sum(
        float(row @ chords.must[step.chord])
        for row, step in zip(rows, path.steps, strict=True)
        if step.chord != OUTSIDE
    )
    return hits / float(rows.sum())


def _voices(plan: LeadingPlan) -> Part:
    return tuple(voice.name for voice in plan.hymn.voices)


def _likeliest(
    plan: LeadingPlan, whole: Sequence[Way], take: Take
) -> tuple[Part, int, Path, tuple[Cluster, ...]]:
    """The voices played, the transposition and the path under which the take costs least."""
    groups = clusters(take.notes, load("take").number("cluster.chain_s"))
    every = Chords(whole)
    options = [(_voices(plan), by, every) for by, _ in _transpositions(every, take.notes)]
    some_missing = thin(every, [len({take.notes[i].midi for i in group.notes}) for group in groups])
    if some_missing:
        options += _of_parts(plan, whole, take)
    sure = load("take").number("match.sure") * len(take.notes)
    best: tuple[Part, int, Path] | None = None
    for part, by, chords in options:
        path = find_path(chords, *_rows(take.notes, groups, by))
        if best is None or path.cost < best[2].cost:
            best = part, by, path
        if path.cost <= sure and not some_missing:
            break
    assert best is not None, "there is always a transposition to try"
    return *best, groups


def _of_parts(
    plan: LeadingPlan, whole: Sequence[Way], take: Take
) -> list[tuple[Part, int, Chords]]:
    """The parts and transpositions worth following: those whose keys are most like the
    take's, the more of them the shorter it is."""
    tried = []
    for part in parts(_voices(plan)):
        chords = Chords(part_ways(whole, part))
        tried += [(-like, part, by, chords) for by, like in _transpositions(chords, take.notes)]
    table = load("take")
    most = max(int(table["part.tried"]), int(table["part.tried_notes"]) // len(take.notes))
    nearest = sorted(tried, key=lambda one: one[0])[:most]
    return [(part, by, chords) for _, part, by, chords in nearest]


def _rows(
    notes: Sequence[TakeNote], groups: Sequence[Cluster], transposed: int
) -> tuple[Array, Array]:
    pitches = [
        [min(127, max(0, notes[i].midi - transposed)) for i in group.notes] for group in groups
    ]
    return pitch_rows(pitches), np.array([group.onset_s for group in groups])


def _transpositions(chords: Chords, notes: Sequence[TakeNote]) -> list[tuple[int, float]]:
    """The few transpositions under which the take uses the hymn's keys most nearly, each
    with its likeness (cosine)."""
    table = load("take")
    score = chords.must.sum(0)
    played = np.bincount([note.midi for note in notes], minlength=128)[:128].astype(float)
    most = int(table["transposed.most"])
    likeness = {}
    for by in range(-most, most + 1):
        moved = np.roll(played, -by)
        norm = float(np.linalg.norm(moved) * np.linalg.norm(score))
        likeness[by] = float(moved @ score) / norm
    ranked = sorted(likeness, key=lambda by: (-likeness[by], abs(by)))
    nearest = ranked[: int(table["transposed.tried"])]
    if 0 not in nearest:  # a few notes may be like those of many keys
        nearest.append(0)
    return [(by, likeness[by]) for by in nearest]


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
