"""Invented hymns to practise, without a score."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from suspirium.practice.known import known_as
from suspirium.practice.model import Passage, Player, PracticeHymn, Way
from suspirium.practice.settings import learning


def passage(
    number: int = 1, seconds: float = 11.0, hardness: float = 1.0, pedal: bool = True
) -> Passage:
    """Two lines; `hardness` multiplies what each player is asked."""
    demand: dict[Player, float] = {
        "tune": 0.3,
        "right": 1.0 * hardness,
        "left": 0.6 * hardness,
        "pedal": 0.9 * hardness if pedal else 0.0,
    }
    first = 2 * number - 1
    start = Fraction(16 * (number - 1))
    return Passage(
        first_phrase=first,
        last_phrase=first + 1,
        start_q=start,
        end_q=start + 16,
        first_measure=4 * number - 3,
        last_measure=4 * number,
        seconds=seconds,
        demand=demand,
    )


def hymn(
    title: str = "The lamps are lit",
    level: str = "new",
    passages: Sequence[Passage] | None = None,
    way: Way = "all",
    alike: frozenset[int] = frozenset(),
) -> PracticeHymn:
    """A hymn of two passages unless given, known as `level` says."""
    own = tuple(passages or (passage(1), passage(2, hardness=1.3)))
    return PracticeHymn(
        title=title,
        key=title,
        passages=own,
        known=tuple(known_as(level, one, way, learning()) for one in own),
        way=way,
        new=level == "new",
        alike=alike,
        stanzas=3,
    )
