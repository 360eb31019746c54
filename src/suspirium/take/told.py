"""The keys of one time through: which was played by what, which was missing, wrong, too many."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from suspirium.take.clusters import Cluster
from suspirium.take.expected import Key
from suspirium.take.model import TakeNote
from suspirium.take.passes import Pass
from suspirium.take.path import OCTAVES, Chords

FaultKind = Literal["wrong", "missing", "extra"]


@dataclass(frozen=True, slots=True)
class Matched:
    """A key of the score and the note of the take (an index) that played it.

    `doubled` are the notes of the same pitch struck with it on another keyboard.
    """

    key: Key
    note: int
    doubled: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Fault:
    """A key not played, a note too many, or (wrong) the one instead of the other."""

    kind: FaultKind
    chord: int
    key: Key | None
    note: int | None


@dataclass(frozen=True, slots=True)
class PlayedChord:
    """One chord as it was played; `index` counts the chords of its way."""

    index: int
    matched: tuple[Matched, ...]


@dataclass(frozen=True, slots=True)
class PlayedPass:
    """One time through: its way, the chords that were played, what went wrong in it."""

    way: int
    chords: tuple[PlayedChord, ...]
    faults: tuple[Fault, ...]
    restarts: tuple[tuple[int, int], ...]


def played_pass(
    chords: Chords,
    notes: Sequence[TakeNote],
    groups: Sequence[Cluster],
    one: Pass,
    transposed: int,
    lines_only: bool = False,
) -> PlayedPass:
    """The keys of one pass; what a chord lacks is looked for beside it.

    With `lines_only`, as in an introduction, lines that were left out are not missing.
    """
    first = int(np.flatnonzero(chords.way == one.way)[0])
    where = one.played
    free: dict[int, list[int]] = {}
    matched: dict[int, list[Matched]] = {}
    missing: dict[int, list[Key]] = {}
    for chord, own in where.items():
        left = [note for cluster in own for note in groups[cluster].notes]
        matched[chord], missing[chord], free[chord] = _told(chords, chord, left, notes, transposed)
    _from_beside(chords, notes, transposed, matched, missing, free)
    faults = [
        fault
        for chord in sorted(where)
        for fault in _faults(chord - first, missing[chord], free[chord], notes, transposed)
    ]
    faults += [
        Fault("missing", chord - first, key, None)
        for chord in _skipped(one, lines_only)
        for key in chords.chords[chord].keys
        if not key.optional
    ]
    return PlayedPass(
        one.way,
        tuple(PlayedChord(chord - first, tuple(matched[chord])) for chord in sorted(where)),
        tuple(sorted(faults, key=lambda fault: fault.chord)),
        tuple((a - first, b - first) for a, b in one.restarts),
    )


def _told(
    chords: Chords, chord: int, left: list[int], notes: Sequence[TakeNote], transposed: int
) -> tuple[list[Matched], list[Key], list[int]]:
    """Matched keys, missing keys and notes too many of one chord; a key an octave from one
    that is played doubles it."""
    by_pitch: dict[int, list[int]] = {}
    for note in left:
        by_pitch.setdefault(notes[note].midi - transposed, []).append(note)
    matched, missing = [], []
    for key in chords.chords[chord].keys:
        own = by_pitch.pop(key.midi, None)
        if own is None:
            missing += [] if key.optional else [key]
        else:
            matched.append(Matched(key, own[0], tuple(own[1:])))
    octaves = [one.key.midi + by for one in matched for by in OCTAVES]
    for pitch in (*chords.chords[chord].may, *octaves):
        by_pitch.pop(pitch, None)
    return matched, missing, [note for own in by_pitch.values() for note in own]


def _from_beside(
    chords: Chords,
    notes: Sequence[TakeNote],
    transposed: int,
    matched: dict[int, list[Matched]],
    missing: dict[int, list[Key]],
    free: dict[int, list[int]],
) -> None:
    """Gives a chord's missing key the note of that pitch that was too many next to it."""
    for chord in sorted(missing):
        for key in list(missing[chord]):
            for beside in (chord - 1, chord + 1):
                note = next(
                    (n for n in free.get(beside, ()) if notes[n].midi - transposed == key.midi),
                    None,
                )
                if note is not None:
                    free[beside].remove(note)
                    missing[chord].remove(key)
                    matched[chord].append(Matched(key, note))
                    break


def _faults(
    chord: int, missing: list[Key], free: list[int], notes: Sequence[TakeNote], transposed: int
) -> list[Fault]:
    """A missing key and a note too many in the same chord are one wrong note, nearest first."""
    faults: list[Fault] = []
    lost, spare = list(missing), list(free)
    while lost and spare:
        key, note = min(
            ((key, note) for key in lost for note in spare),
            key=lambda pair: abs(notes[pair[1]].midi - transposed - pair[0].midi),
        )
        faults.append(Fault("wrong", chord, key, note))
        lost.remove(key)
        spare.remove(note)
    faults += [Fault("missing", chord, key, None) for key in lost]
    faults += [Fault("extra", chord, None, note) for note in spare]
    return faults


def _skipped(one: Pass, lines_only: bool) -> list[int]:
    """Chords passed over inside what was played, or inside each run of it."""
    played = one.played
    spans = [(run.first, run.last) for run in one.runs] if lines_only else []
    spans = spans or [(min(played), max(played))]
    return [chord for low, high in spans for chord in range(low, high + 1) if chord not in played]
