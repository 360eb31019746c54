"""What stands where: voices on staves, and measures cut where a line of words begins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from suspirium.score.model import Hymn, Measure, Voice


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a measure between two places where a line may break."""

    measure: Measure
    start_q: Fraction
    end_q: Fraction
    breaks_before: bool
    first: bool  # the first piece of its measure
    last: bool


@dataclass(frozen=True, slots=True)
class Staffing:
    """Which voices stand on which staff, high to low."""

    staves: tuple[tuple[int, ...], ...]
    clefs: tuple[str, ...]


def staffing(hymn: Hymn) -> Staffing:
    """Two staves for harmony, one for a melody alone."""
    count = len(hymn.voices)
    if count == 1:
        return Staffing(((0,),), (_clef(hymn.voices[0]),))
    upper = tuple(range((count + 1) // 2))
    lower = tuple(range((count + 1) // 2, count))
    return Staffing((upper, lower), ("G", "F"))


def _clef(voice: Voice) -> str:
    heights = [pitch.midi for note in voice.notes for pitch in note.pitches]
    return "F" if heights and sum(heights) / len(heights) < 57 else "G"


def pieces(hymn: Hymn, cuts: Sequence[Fraction], breaks: Sequence[Fraction]) -> list[Piece]:
    """The measures cut where a phrase begins inside them; `breaks` begin new systems."""
    done = []
    for measure in hymn.measures:
        inside = [cut for cut in cuts if measure.onset_q < cut < measure.end_q]
        places = [measure.onset_q, *inside, measure.end_q]
        for index, (start, end) in enumerate(pairwise(places)):
            done.append(
                Piece(measure, start, end, start in breaks, index == 0, index == len(inside))
            )
    return done
