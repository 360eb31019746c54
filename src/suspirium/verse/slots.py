"""Notes of the melody as places for syllables, by the pattern of the stanzas already there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.model import Hymn
from suspirium.score.sounding import melody_tones
from suspirium.score.words import sung
from suspirium.tables import load

Lines = Sequence[tuple[Fraction, Fraction]]
"""For each line of the tune the onsets of its first and its last note."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One tone of the melody.

    `begins` is the cost of a syllable here, `passes` that of none. `line` counts the lines of
    the tune from 0; `opens` says that a line begins here, `shared` that it lies in a refrain.
    """

    onset_q: Fraction
    end_q: Fraction
    begins: float
    passes: float
    line: int
    opens: bool
    shared: bool = False

    @property
    def expected(self) -> bool:
        """Whether the pattern has a syllable here."""
        return self.begins < self.passes


def slots_of(hymn: Hymn, lines: Lines) -> tuple[Slot, ...]:
    """The melody's tones, with what the stanzas under the notes (or slurs) say of them.

    `lines` are the lines of the tune; a tone before the first belongs to the first.
    """
    patterns = [
        (begun, min(begun), max(begun))
        for stanza in hymn.stanzas
        if (begun := {syllable.onset_q for syllable in sung(hymn, stanza.number)})
    ]
    joined = {note.onset_q for note in hymn.melody.notes if note.beamed}
    starts = [first for first, _ in lines][1:]
    opening = load("underlay").number("cost.silent_opening")
    found: list[Slot] = []
    for tone in melody_tones(hymn):
        line = sum(start <= tone.onset_q for start in starts)
        over = [begun for begun, first, last in patterns if first <= tone.onset_q <= last]
        if over:
            begins, passes = _by_pattern(sum(tone.onset_q in begun for begun in over), len(over))
        else:
            begins, passes = _by_notes(tone.slurred, tone.onset_q in joined)
        opens = not found or line != found[-1].line
        passes += opening if opens else 0.0
        shared = any(tone.onset_q in refrain for refrain in hymn.refrains)
        found.append(Slot(tone.onset_q, tone.end_q, begins, passes, line, opens, shared))
    return tuple(found)


def _by_pattern(singing: int, stanzas: int) -> tuple[float, float]:
    """Costs where so many of the stanzas begin a syllable; the more agree, the dearer."""
    table = load("underlay")
    divided, joined = table.number("cost.divided_melisma"), table.number("cost.joined_notes")
    if singing == 0:
        return divided, 0.0
    if singing == stanzas:
        return 0.0, joined
    weight = table.number("weight.stanza")
    share = singing / (stanzas + weight)
    return (1 - share) ** 2 * divided, share**2 * joined


def _by_notes(slurred: bool, beamed: bool) -> tuple[float, float]:
    table = load("underlay")
    if slurred:
        return table.number("cost.divided_melisma"), 0.0
    if beamed:
        return table.number("cost.joined_beamed"), 2 * table.number("cost.joined_beamed")
    return 0.0, table.number("cost.joined_notes")
