"""Notes and rests while they are being read, and the signs written before them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from suspirium.score.pitch import Pitch

SHORTHAND = {
    ".": "staccato", "~": "roll", "H": "fermata", "L": "accent", "M": "lowermordent",
    "O": "coda", "P": "uppermordent", "S": "segno", "T": "trill", "u": "upbow", "v": "downbow",
}  # fmt: skip
BREATHS = frozenset({"breath", ",", "shortphrase", "mediumphrase", "longphrase"})
_FINGERING = re.compile(r"[0-5](?:[-_][0-5])?")


@dataclass(slots=True)
class Event:
    """A note, chord or rest while it is being read.

    `bar` counts the voice's barlines before it; `reached` says that it continues the
    note before: under a slur, by a tie, by a beam.
    """

    onset_q: Fraction
    duration_q: Fraction
    pitches: tuple[Pitch, ...]
    bar: int
    ties: frozenset[Pitch] = frozenset()
    slurs_begin: int = 0
    slurs_end: int = 0
    beamed: bool = False
    reached: bool = False
    signs: tuple[str, ...] = ()
    fingering: tuple[str, ...] = ()
    graces: tuple[Pitch, ...] = ()
    breath: bool = False
    hidden: bool = False
    tuplet: tuple[int, int] | None = None

    @property
    def end_q(self) -> Fraction:
        return self.onset_q + self.duration_q

    def decorate(self, signs: Sequence[str]) -> None:
        """Take the signs written before the note: fingering, breath marks, others."""
        self.fingering = tuple(sign for sign in signs if _FINGERING.fullmatch(sign))
        self.breath = not BREATHS.isdisjoint(signs)
        self.signs = tuple(
            sign for sign in signs if sign and sign not in BREATHS and sign not in self.fingering
        )

    def joins(self, last: Event) -> bool:
        """Whether a beam may join it to `last`: both short, or in one kind of tuplet."""
        if last.tuplet is not None and last.tuplet == self.tuplet:
            return True
        return last.duration_q < 1 and self.duration_q < 1


@dataclass(slots=True)
class Pending:
    """What is written before a note and belongs to it."""

    slurs: int = 0
    signs: list[str] = field(default_factory=list)
    graces: tuple[Pitch, ...] = ()
    broken: Fraction | None = None
