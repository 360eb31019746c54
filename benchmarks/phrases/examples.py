"""Hymns and chorales whose line ends are known.

Hymns: ABC files with `labels.json` beside them (see there); chorales: the Bach chorales of
music21's corpus, whose soprano fermatas are the truth and are hidden.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from chorales import read_chorales

from suspirium.score.model import Hymn
from suspirium.score.reading import read

HYMNS = Path(__file__).resolve().parents[2].parent / "shared" / "hymns"
LEAST_FERMATAS = 3
GRAM = 7  # intervals in a passage by which two melodies are compared
SHARED = 0.34  # share of such passages from which on two chorales are one tune


@dataclass(frozen=True)
class Example:
    """A hymn, the tune it belongs to and the spans of its lines' last syllables."""

    name: str
    tune: str
    domain: str  # "hymn" or "chorale"
    hymn: Hymn
    spans: tuple[tuple[Fraction, Fraction], ...]
    count: float = 1.0  # how much it counts in learning


def without_fermatas(hymn: Hymn) -> Hymn:
    """The hymn as it would be printed without fermatas."""
    return replace(
        hymn,
        voices=tuple(
            replace(voice, notes=tuple(replace(note, fermata=False) for note in voice.notes))
            for voice in hymn.voices
        ),
    )


def melody(example: Example) -> Example:
    """The example without its lower voices."""
    return replace(example, hymn=replace(example.hymn, voices=example.hymn.voices[:1]))


def hymn_examples(folder: Path = HYMNS) -> list[Example]:
    """The hymns with known line ends; fermatas and printed metres are hidden."""
    labels = json.loads((folder / "labels.json").read_text())
    found = []
    for stem, label in labels.items():
        if "line_ends" not in label:
            continue
        hymn = read((folder / f"{stem}.abc").read_bytes(), f"{stem}.abc")
        hymn = replace(without_fermatas(hymn), metre="")
        onsets = [note.onset_q for note in hymn.melody.notes if not note.is_rest]
        spans = tuple((onsets[first], onsets[last]) for first, last in label["line_ends"])
        found.append(Example(stem, label["tune"], "hymn", hymn, spans))
    return found


def chorale_examples() -> list[Example]:
    """The chorales with fermatas, grouped by melody."""
    hymns = [hymn for hymn in read_chorales() if _fermatas(hymn) >= LEAST_FERMATAS]
    tunes = _tunes([_skeleton(hymn) for hymn in hymns])
    return [
        Example(hymn.title, f"melody-{tune}", "chorale", without_fermatas(hymn), _held(hymn))
        for hymn, tune in zip(hymns, tunes, strict=True)
    ]


def _fermatas(hymn: Hymn) -> int:
    return sum(note.fermata for note in hymn.melody.notes)


def _held(hymn: Hymn) -> tuple[tuple[Fraction, Fraction], ...]:
    notes = [note for note in hymn.melody.notes if not note.is_rest]
    held = [note.onset_q for note in notes if note.fermata]
    if held[-1] != notes[-1].onset_q:
        held.append(notes[-1].onset_q)
    return tuple((onset, onset) for onset in held)


def _skeleton(hymn: Hymn) -> list[int]:
    """The staff step that sounds on each quarter."""
    steps = []
    for note in hymn.melody.notes:
        if not note.is_rest:
            first = -(-note.onset_q.numerator // note.onset_q.denominator)
            last = -(-note.end_q.numerator // note.end_q.denominator)
            steps += [note.pitches[-1].diatonic] * (last - first)
    return steps


def _grams(steps: Sequence[int]) -> frozenset[tuple[int, ...]]:
    moves = [b - a for a, b in pairwise(steps)]
    runs = (tuple(moves[i : i + GRAM]) for i in range(len(moves) - GRAM + 1))
    return frozenset(run for run in runs if len(set(run)) > 2)


def _tunes(skeletons: Iterable[list[int]]) -> Iterator[int]:
    """A number for each melody, the same for those that share enough passages."""
    grams = [_grams(steps) for steps in skeletons]
    parent = list(range(len(grams)))

    def root(i: int) -> int:
        while parent[i] != i:
            i = parent[i]
        return i

    for i, one in enumerate(grams):
        for j in range(i):
            least = max(1, min(len(one), len(grams[j])))
            if len(one & grams[j]) > SHARED * least:
                parent[root(i)] = root(j)
    return (root(i) for i in range(len(grams)))
