"""An `Introduction`: stretches of the hymn, how long they last, and why they serve."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Shape = Literal[
    "last line",
    "last two lines",
    "last lines",
    "end of last line",
    "first lines",
    "first and last lines",
    "inner lines",
    "whole tune",
]


@dataclass(frozen=True, slots=True)
class Piece:
    """One stretch of the written score, from the onset of its first melody note to the
    onset of its last; `end_q` is where that last note ends."""

    first_onset_q: Fraction
    last_onset_q: Fraction
    end_q: Fraction


@dataclass(frozen=True, slots=True)
class Introduction:
    """The pieces in the order of playing.

    `seconds` run from the first note until the last is let go; then comes the stanza gap,
    the same as between stanzas. `cost` is comparable between the introductions of one
    hymn only, lowest best. `line_numbers` are the phrases that it plays, whole or in part.
    """

    pieces: tuple[Piece, ...]
    shape: Shape
    line_numbers: tuple[int, ...]
    seconds: float
    cost: float
    reason: str

    @property
    def first_onset_q(self) -> Fraction:
        """Written onset of the first note."""
        return self.pieces[0].first_onset_q

    @property
    def last_onset_q(self) -> Fraction:
        """Written onset of the last note."""
        return self.pieces[-1].last_onset_q
