"""What one layer of one measure holds, in order: notes, chords, rests and spaces."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.pitch import Pitch


@dataclass(frozen=True, slots=True)
class Head:
    """One note head; its id is what ties and fingerings name."""

    pitch: Pitch
    ident: str


@dataclass(frozen=True, slots=True)
class Verse:
    """What one stanza has under an event.

    Without `text` the note is marked as sung to the syllable before, where it `holds`,
    or as not sung.
    """

    place: str
    text: str
    joins_next: bool = False
    label: str = ""
    holds: bool = False


@dataclass(frozen=True, slots=True)
class Event:
    """One event of a layer. `heads` ascend and are empty for a rest.

    `idents` names the event and all its heads, also after heads were taken out; `lent`
    says that the event was taken from a chord whose top it isn't. `filler` marks a gap
    in a measure where the layer is absent altogether.
    """

    onset_q: Fraction
    duration_q: Fraction
    heads: tuple[Head, ...] = ()
    idents: tuple[str, ...] = ()
    beamed: bool = False
    hidden: bool = False
    filler: bool = False
    lent: bool = False
    tuplet: tuple[int, int] | None = None
    graces: tuple[Pitch, ...] = ()
    signs: tuple[str, ...] = ()
    verses: tuple[Verse, ...] = ()
    stem: str = ""

    @property
    def end_q(self) -> Fraction:
        return self.onset_q + self.duration_q
