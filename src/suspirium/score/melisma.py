"""How far a syllable reaches: the notes sung to it after its own."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise
from typing import Protocol

from suspirium.score.model import Note
from suspirium.score.pitch import Pitch

SHORT_GAP = 2  # so many unsung notes inside a stanza are a melisma, not a silence


class Sung(Protocol):
    """A note or rest, as far as singing it matters; a rest has no pitches."""

    @property
    def pitches(self) -> tuple[Pitch, ...]: ...


def reached(notes: Sequence[Note]) -> list[bool]:
    """For each note of a voice, whether a tie, slur or beam leads to it from the one before."""
    found = [False]
    open_slurs = 0
    for before, note in pairwise(notes):
        open_slurs = max(0, open_slurs + before.slurs_begin - before.slurs_end)
        both = bool(before.pitches and note.pitches)
        found.append(both and (before.tied or open_slurs > 0 or note.beamed))
    return found


def last_notes(
    notes: Sequence[Sung],
    led_to: Sequence[bool],
    starts: Mapping[int, bool],
    holds: Collection[int],
    sung: Collection[int],
    blanks: Collection[int] | None = None,
) -> dict[int, int]:
    """The last note of every syllable of one stanza, as indices into `notes`.

    `led_to` comes from `reached`; `starts` are the notes with a syllable and whether its
    word goes on, `holds` those that the source marks as still sung to the syllable
    before, `sung` those where any stanza has a syllable, `blanks` those that the source
    marks as blank (None: it has no such marks, every unsung note is blank). A syllable
    goes on over an unsung note that a tie, slur or beam leads to, that is a hold, or where
    a blank can mean nothing else: inside a word or a line, or where no stanza has a
    syllable. After a rest only a hold goes on.
    """
    order = sorted(starts)
    found: dict[int, int] = {}
    for index, after in zip(order, [*order[1:], len(notes)], strict=False):
        gap = after - index - 1
        inside = starts[index] or (after < len(notes) and gap <= SHORT_GAP)
        found[index] = index
        for other in range(index + 1, after):
            if not notes[other].pitches:
                continue
            marked = blanks is None or other in blanks
            blank = marked and (inside or other not in sung)
            if not (led_to[other] or other in holds or (blank and notes[other - 1].pitches)):
                break
            found[index] = other
    return found
