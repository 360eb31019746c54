"""Which notes need a printed accidental: signs hold for the bar, on one staff."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from suspirium.score.model import Hymn, Note
from suspirium.score.pitch import Pitch, key_alter

Numbered = Sequence[tuple[int, Note]]  # notes of one voice with their index in it


class Accidentals:
    """The signs that hold so far in a bar; `clear` begins the next one."""

    def __init__(self, hymn: Hymn) -> None:
        self._hymn = hymn
        self._holding: dict[tuple[int, str, int], int] = {}

    def clear(self) -> None:
        self._holding.clear()

    def printed(self, staff: int, notes: Mapping[int, Numbered]) -> set[tuple[int, int, Pitch]]:
        """The (voice, index, pitch) that need a sign among the next notes of a staff."""
        found: set[tuple[int, int, Pitch]] = set()
        timed = sorted(
            (
                (note.onset_q, voice, index, note)
                for voice, line in notes.items()
                for index, note in line
            ),
            key=lambda item: item[:3],
        )
        for onset_q, voice, index, note in timed:
            before = self._hymn.voices[voice].notes[index - 1] if index else None
            tied = before.pitches if before is not None and before.tied else ()
            for pitch in note.pitches:
                place = (staff, pitch.step, pitch.octave)
                default = key_alter(pitch.step, fifths_at(self._hymn, onset_q))
                if pitch in tied and place not in self._holding:
                    continue
                if self._holding.get(place, default) != pitch.alter:
                    found.add((voice, index, pitch))
                    self._holding[place] = pitch.alter
        return found


def fifths_at(hymn: Hymn, onset_q: Fraction) -> int:
    """Sharps (flats negative) of the key signature that holds at `onset_q`."""
    found = hymn.keys[0].fifths
    for change in hymn.keys:
        if change.onset_q <= onset_q:
            found = change.fifths
    return found
