"""Which notes beams and tuplet brackets hold together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from suspirium.score.model import Note
from suspirium.score.musicxml.values import Value, beams, note_value


def written_q(note: Note) -> Fraction:
    """Length of the printed note value: what a tuplet shortens, at full length."""
    if note.tuplet is None:
        return note.duration_q
    actual, normal = note.tuplet
    return note.duration_q * actual / normal


def value_of(note: Note) -> Value | None:
    """The printed note value, None where no single note has that length."""
    return note_value(written_q(note))


def beam_signs(notes: Sequence[Note], tuplets: Sequence[str]) -> list[list[str]]:
    """For each note of a measure what its beams do, the outermost first.

    `tuplets` come from `tuplet_signs`: a beam that holds a part of a tuplet and more is
    cut at the tuplet's bounds.
    """
    signs: list[list[str]] = [[] for _ in notes]
    for start, stop in _uncrossed(_runs([note.beamed for note in notes]), tuplets):
        counts = [beams(value_of(note)) for note in notes[start:stop]]
        for place, count in enumerate(counts):
            before = counts[place - 1] if place else 0
            after = counts[place + 1] if place + 1 < len(counts) else 0
            signs[start + place] = [
                _sign(level <= before, level <= after, place == 0) for level in range(1, count + 1)
            ]
    return signs


def _runs(joined: Sequence[bool]) -> list[tuple[int, int]]:
    """Stretches of two or more notes, each joined to the one before."""
    found: list[tuple[int, int]] = []
    start = 0
    for index in range(1, len(joined) + 1):
        if index == len(joined) or not joined[index]:
            if index - start > 1:
                found.append((start, index))
            start = index
    return found


def _uncrossed(
    runs: Sequence[tuple[int, int]], tuplets: Sequence[str]
) -> Iterator[tuple[int, int]]:
    """The runs, cut where they would cross the bounds of a tuplet."""
    starts = [index for index, sign in enumerate(tuplets) if sign == "start"]
    stops = [index + 1 for index, sign in enumerate(tuplets) if sign == "stop"]
    for start, stop in runs:
        cuts: set[int] = set()
        for first, end in zip(starts, stops, strict=True):
            if first < start < end < stop:
                cuts.add(end)
            if start < first < stop < end:
                cuts.add(first)
        bounds = [start, *sorted(cuts), stop]
        yield from ((a, b) for a, b in pairwise(bounds) if b - a > 1)


def _sign(before: bool, after: bool, first: bool) -> str:
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "forward hook" if first else "backward hook"


def tuplet_signs(notes: Sequence[Note]) -> list[str]:
    """For each note of a measure whether a tuplet starts or stops there ("" for neither).

    A tuplet is complete when its notes together last a whole number of times as long as
    its shortest value stands for.
    """
    signs = [""] * len(notes)
    start = 0
    for index, note in enumerate(notes):
        if note.tuplet is None:
            start = index + 1
            continue
        group = notes[start : index + 1]
        after = notes[index + 1].tuplet if index + 1 < len(notes) else None
        if _complete(group, note.tuplet) or after != note.tuplet:
            if len(group) > 1:
                signs[start], signs[index] = "start", "stop"
            start = index + 1
    return signs


def _complete(group: Sequence[Note], tuplet: tuple[int, int]) -> bool:
    shortest_q = min(written_q(note) for note in group)
    played_q = sum((note.duration_q for note in group), Fraction(0))
    return (played_q / (shortest_q * tuplet[1])).denominator == 1
