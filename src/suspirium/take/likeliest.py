"""Which voices were played, in which key: the choice under which a take costs least."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.take.clusters import Cluster, clusters
from suspirium.take.expected import Way
from suspirium.take.model import TakeNote
from suspirium.take.part import Part, part_ways, parts, thin
from suspirium.take.path import OCTAVES, OUTSIDE, Array, Chords, Path, find_path, pitch_rows


def all_voices(plan: LeadingPlan) -> Part:
    """The names of a hymn's voices, high to low."""
    return tuple(voice.name for voice in plan.hymn.voices)


def excerpt(notes: Sequence[TakeNote]) -> Sequence[TakeNote]:
    """Stretches from all over a take of many notes, enough to judge it by; a shorter one whole.

    What is to be found in most of a take is found in most of these.
    """
    table = load("take")
    most, count = int(table["match.judged_notes"]), int(table["match.judged_stretches"])
    if len(notes) <= most:
        return notes
    long = most // count
    starts = [(len(notes) - long) * index // (count - 1) for index in range(count)]
    return [note for start in starts for note in notes[start : start + long]]


def likeliest(
    plan: LeadingPlan, whole: Sequence[Way], notes: Sequence[TakeNote]
) -> tuple[Part, int, Path, tuple[Cluster, ...]]:
    """The voices played, the transposition and the path under which the take costs least."""
    groups = clusters(notes, load("take").number("cluster.chain_s"))
    every = Chords(whole)
    options = [(all_voices(plan), by, every) for by, _ in _transpositions(every, notes)]
    some_missing = thin(every, [len({notes[i].midi for i in group.notes}) for group in groups])
    if some_missing:
        options += _of_parts(plan, whole, notes)
    sure = load("take").number("match.sure") * len(notes)
    best: tuple[Part, int, Path] | None = None
    for part, by, chords in options:
        path = find_path(chords, *pitches_and_onsets(notes, groups, by))
        if best is None or path.cost < best[2].cost:
            best = part, by, path
        if path.cost <= sure and not some_missing:
            break
    assert best is not None, "there is always a transposition to try"
    return *best, groups


def second_part(
    plan: LeadingPlan,
    whole: Sequence[Way],
    notes: Sequence[TakeNote],
    path: Path,
    first: tuple[Part, int],
    groups: Sequence[Cluster],
) -> Part | None:
    """Another part for what the first (with its transposition) leaves outside, where that is
    much: a stanza of the melody alone among whole ones, or a whole one among such."""
    table = load("take")
    lost = [group for group, step in zip(groups, path.steps, strict=True) if step.chord == OUTSIDE]
    if len(lost) < max(table["match.few"], table["part.second_least"] * len(groups)):
        return None
    if first[0] != all_voices(plan):
        return all_voices(plan)
    left = excerpt([notes[index] for group in lost for index in group.notes])
    again = clusters(left, table.number("cluster.chain_s"))
    rows = pitches_and_onsets(left, again, first[1])
    found = {part: Chords(part_ways(whole, part)) for part, _, _ in _of_parts(plan, whole, left)}
    return min(found, key=lambda part: find_path(found[part], *rows).cost)


def _of_parts(
    plan: LeadingPlan, whole: Sequence[Way], notes: Sequence[TakeNote]
) -> list[tuple[Part, int, Chords]]:
    """The parts and transpositions worth following: those whose keys are most like the
    take's, the more of them the shorter it is."""
    tried = []
    for part in parts(all_voices(plan)):
        chords = Chords(part_ways(whole, part))
        tried += [(-like, part, by, chords) for by, like in _transpositions(chords, notes)]
    table = load("take")
    most = max(int(table["part.tried"]), int(table["part.tried_notes"]) // len(notes))
    nearest = sorted(tried, key=lambda one: one[0])[:most]
    return [(part, by, chords) for _, part, by, chords in nearest]


def pitches_and_onsets(
    notes: Sequence[TakeNote], groups: Sequence[Cluster], transposed: int
) -> tuple[Array, Array]:
    """Pitch rows (`suspirium.take.path`) and onsets of clusters, as if in the written key."""
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
    octave = max(OCTAVES)  # an octave coupler looks like the hymn an octave off
    nearest.sort(key=lambda by: abs(by) >= octave)
    return [(by, likeness[by]) for by in nearest]
