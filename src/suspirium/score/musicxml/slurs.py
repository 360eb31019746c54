"""Numbers that tell the slurs of a part apart."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from suspirium.score.model import Note


@dataclass(slots=True)
class Slurs:
    """The numbers of the slurs that stop and start at the notes of one voice, by index."""

    stops: dict[int, list[int]] = field(default_factory=dict)
    starts: dict[int, list[int]] = field(default_factory=dict)


def numbered(voices: Sequence[Sequence[Note]], barlines_q: Sequence[Fraction]) -> list[Slurs]:
    """The slurs of a part's voices; `barlines_q` are the ends of its measures.

    A number is free again where its slur stops, in the order of the file: measure by
    measure, in it voice by voice. A slur open at one end is left out.
    """
    found = [Slurs() for _ in voices]
    steps: list[tuple[int, int, int, int, int]] = []
    for voice, notes in enumerate(voices):
        measures = [bisect_right(barlines_q, note.onset_q) for note in notes]
        for start, stop in _pairs(notes):
            steps.append((measures[stop], voice, stop, 0, start))
            steps.append((measures[start], voice, start, 1, stop))
    taken: dict[tuple[int, int, int], int] = {}
    for _, voice, index, starts, other in sorted(steps):
        if starts:
            number = next(n for n in range(1, len(taken) + 2) if n not in taken.values())
            taken[voice, index, other] = number
            found[voice].starts.setdefault(index, []).append(number)
        else:
            number = taken.pop((voice, other, index))
            found[voice].stops.setdefault(index, []).append(number)
    return found


def _pairs(notes: Sequence[Note]) -> list[tuple[int, int]]:
    """First and last notes of the slurs of a voice, the one opened last closing first.

    Slurs over the same notes are one: they can't be told apart.
    """
    found: list[tuple[int, int]] = []
    open_at: list[int] = []
    for index, note in enumerate(notes):
        for _ in range(min(note.slurs_end, len(open_at))):
            found.append((open_at.pop(), index))
        open_at.extend([index] * note.slurs_begin)
    return sorted(set(found))
