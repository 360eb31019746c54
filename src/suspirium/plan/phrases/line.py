"""The melody as a row of units: what may open or close a line of the poem.

With words a unit is a sung syllable; from notes alone it is a note with everything that is
slurred, tied or beamed to it. A *boundary* `b` lies between the units `b - 1` and `b`.
Score time is counted in whole ticks here, so that comparisons are exact and quick.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from suspirium.score.model import Hymn, Syllable, Voice
from suspirium.score.words import sung

MAJORITY = Fraction(1, 2)  # a syllable starts where at least this share of the stanzas says so


@dataclass(frozen=True, slots=True)
class Struck:
    """A note of one voice, ties joined, in ticks; `pitch` is the highest MIDI key."""

    start: int
    end: int
    pitch: int
    joined: bool = False  # slurred or beamed to the note before
    fermata: bool = False
    breath: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """The melody and its units.

    `unit_of[i]` is the unit of melody note `i`; `starts` has one entry a unit and, as
    its last, the end of the melody. `last_note[u]` is the index of the unit's last note.
    `sung` are the stanzas' syllables (empty from notes alone) as (start tick, syllable).
    """

    ticks_per_quarter: int
    notes: tuple[Struck, ...]
    others: tuple[tuple[Struck, ...], ...]
    starts: tuple[int, ...]
    first_note: tuple[int, ...]
    last_note: tuple[int, ...]
    sung: tuple[tuple[tuple[int, Syllable], ...], ...] = ()

    @property
    def count(self) -> int:
        """How many units there are."""
        return len(self.first_note)

    def onset_q(self, note: int) -> Fraction:
        """Onset of a melody note in quarters."""
        return Fraction(self.notes[note].start, self.ticks_per_quarter)


def read_line(hymn: Hymn, *, words: bool) -> Line:
    """The melody of a hymn; without any note, a line of no units."""
    scale = _ticks_per_quarter(hymn)
    notes = struck(hymn.melody, scale)
    stanzas = _stanzas(hymn, scale) if words else ()
    opens = _opens(notes, stanzas)
    first = tuple(i for i, open_ in enumerate(opens) if open_)
    last = (*(i - 1 for i in first[1:]), len(notes) - 1) if notes else ()
    starts = (*(notes[i].start for i in first), notes[-1].end) if notes else ()
    others = tuple(struck(voice, scale) for voice in hymn.voices[1:])
    return Line(scale, notes, others, starts, first, last, stanzas)


def _ticks_per_quarter(hymn: Hymn) -> int:
    denominators = {1}
    for voice in hymn.voices:
        for note in voice.notes:
            denominators.add(note.onset_q.denominator)
            denominators.add(note.duration_q.denominator)
    for measure in hymn.measures:
        denominators.add(measure.onset_q.denominator)
        denominators.add(measure.duration_q.denominator)
    return lcm(*denominators)


def ticks(time_q: Fraction, scale: int) -> int:
    """Quarters as ticks, rounded down where they don't fit."""
    return time_q.numerator * scale // time_q.denominator


def struck(voice: Voice, scale: int) -> tuple[Struck, ...]:
    """The notes of a voice with ties joined; of a chord the highest pitch."""
    done: list[Struck] = []
    open_slurs = 0
    tied = False
    for note in voice.notes:
        if note.is_rest:
            tied = False
            continue
        start, end = ticks(note.onset_q, scale), ticks(note.end_q, scale)
        pitch = note.pitches[-1].midi
        last = done[-1] if done else None
        adjoins = last is not None and last.end == start
        if tied and adjoins and last is not None and last.pitch == pitch:
            done[-1] = Struck(
                last.start,
                end,
                pitch,
                last.joined,
                last.fermata or note.fermata,
                last.breath or note.breath,
            )
        else:
            joined = adjoins and (open_slurs > 0 or note.beamed)
            done.append(Struck(start, end, pitch, joined, note.fermata, note.breath))
        tied = note.tied
        open_slurs = max(0, open_slurs + note.slurs_begin - note.slurs_end)
    return tuple(done)


def _stanzas(hymn: Hymn, scale: int) -> tuple[tuple[tuple[int, Syllable], ...], ...]:
    return tuple(
        tuple((ticks(syllable.onset_q, scale), syllable) for syllable in syllables)
        for stanza in hymn.stanzas
        if (syllables := sung(hymn, stanza.number))
    )


def _opens(
    notes: Sequence[Struck], stanzas: Sequence[Sequence[tuple[int, Syllable]]]
) -> list[bool]:
    """Whether each melody note opens a unit.

    Where stanzas have words their majority decides; where none has (or the words end
    early), whatever is not joined to the note before opens a unit.
    """
    begun = [{start for start, _ in syllables} for syllables in stanzas]
    spans = [(syllables[0][0], syllables[-1][0]) for syllables in stanzas]
    opens: list[bool] = []
    for index, note in enumerate(notes):
        covering = [i for i, (low, high) in enumerate(spans) if low <= note.start <= high]
        votes = sum(note.start in begun[i] for i in covering)
        by_words = votes >= MAJORITY * len(covering) and votes > 0
        opens.append(index == 0 or (by_words if covering else not note.joined))
    return opens
