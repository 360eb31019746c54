"""Tones: written notes joined by their ties, each with the measure it stands in."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.model import Hymn, KeyChange, Measure, Note, TimeSignature, Voice
from suspirium.score.pitch import Pitch


@dataclass(frozen=True, slots=True)
class Tone:
    """What one voice sounds from an onset to an end, ties joined; one pitch."""

    onset_q: Fraction
    end_q: Fraction
    pitch: Pitch
    slurred: bool = False  # reached under a slur from the tone before
    fermata: bool = False

    @property
    def duration_q(self) -> Fraction:
        return self.end_q - self.onset_q


def tones(voice: Voice) -> tuple[Tone, ...]:
    """All tones of a voice in order of onset, then pitch; a tie needs the same pitch."""
    done: list[Tone] = []
    held: dict[Pitch, Tone] = {}
    open_slurs = 0
    for note in voice.notes:
        going: dict[Pitch, Tone] = {}
        for pitch in note.pitches:
            before = held.pop(pitch, None)
            tone = (
                Tone(
                    before.onset_q,
                    note.end_q,
                    pitch,
                    before.slurred,
                    before.fermata or note.fermata,
                )
                if before is not None and before.end_q == note.onset_q
                else Tone(note.onset_q, note.end_q, pitch, open_slurs > 0, note.fermata)
            )
            if note.tied:
                going[pitch] = tone
            else:
                done.append(tone)
        done.extend(held.values())
        held = going
        open_slurs = max(0, open_slurs + note.slurs_begin - note.slurs_end)
    done.extend(held.values())
    return tuple(sorted(done, key=lambda tone: (tone.onset_q, tone.pitch.midi)))


def melody_tones(hymn: Hymn) -> tuple[Tone, ...]:
    """The highest line: one tone an onset of the first voice."""
    line: dict[Fraction, Tone] = {}
    for tone in tones(hymn.melody):
        line[tone.onset_q] = tone  # ascending, so the highest stays
    return tuple(line.values())


def bass_tones(hymn: Hymn) -> tuple[Tone, ...]:
    """The lowest line: one tone an onset of the last voice."""
    line: dict[Fraction, Tone] = {}
    for tone in tones(hymn.voices[-1]):
        line.setdefault(tone.onset_q, tone)
    return tuple(line.values())


def measure_at(hymn: Hymn, onset_q: Fraction) -> Measure:
    """The measure in which `onset_q` falls (the last one for the very end)."""
    index = bisect_right(hymn.measures, onset_q, key=lambda measure: measure.onset_q) - 1
    return hymn.measures[max(0, index)]


def bar_onset_q(hymn: Hymn, onset_q: Fraction) -> Fraction:
    """Where the bar around `onset_q` begins; in a pickup, where it would have begun."""
    index = bisect_right(hymn.measures, onset_q, key=lambda measure: measure.onset_q) - 1
    index = max(0, index)
    while index > 0 and hymn.measures[index].continues:
        index -= 1
    measure = hymn.measures[index]
    if index == 0 and measure.number == 0:
        time = time_at(hymn, measure.onset_q)
        if time is not None:
            return measure.end_q - time.bar_q
    return measure.onset_q


def silent_q(hymn: Hymn) -> Fraction:
    """Where the last note of all voices ends."""
    return max(tone.end_q for voice in hymn.voices for tone in tones(voice))


def closing_q(hymn: Hymn) -> Fraction:
    """The end of the measure in which the last note of any voice ends: what is sung to.

    Measures of rest after it are no music.
    """
    last_q = silent_q(hymn)
    return next((m.end_q for m in hymn.measures if m.end_q >= last_q), last_q)


def time_at(hymn: Hymn, onset_q: Fraction) -> TimeSignature | None:
    """The time signature in force, None in free metre."""
    found = hymn.times[0].time
    for change in hymn.times:
        if change.onset_q <= onset_q:
            found = change.time
    return found


def key_at(hymn: Hymn, onset_q: Fraction) -> KeyChange:
    """The key signature in force."""
    found = hymn.keys[0]
    for change in hymn.keys:
        if change.onset_q <= onset_q:
            found = change
    return found


def sounding_at(hymn: Hymn, onset_q: Fraction) -> Iterator[tuple[str, Tone]]:
    """Voice name and tone of everything that sounds at `onset_q`."""
    for voice in hymn.voices:
        for tone in tones(voice):
            if tone.onset_q <= onset_q < tone.end_q:
                yield voice.name, tone


def notes_only(voice: Voice) -> tuple[Note, ...]:
    """The voice's notes without its rests."""
    return tuple(note for note in voice.notes if not note.is_rest)
