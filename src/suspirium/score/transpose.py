"""A whole hymn in another key."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from suspirium.errors import Remark, ScoreError
from suspirium.score.model import Hymn, KeyChange, Note, Voice
from suspirium.score.pitch import Pitch
from suspirium.score.transposition import Transposition, transposition

MOST_SIGNS = 7
LOWEST, HIGHEST = 0, 127  # MIDI 1.0 specification
_FIFTHS_OF_SEMITONE = 7

Move = Callable[[Fraction], Transposition]


def transposed(hymn: Hymn, semitones: int, *, fifths: int | None = None) -> Hymn:
    """The hymn moved by `semitones`, signatures and notes spelled alike.

    Of keys that sound the same it is the one of fewest signs (with flats where both have
    six), all signatures of the hymn counted; `fifths` chooses another for the first key by
    its sharps (flats negative). Printed fingerings hold for the printed key: they are left
    out, with a remark. Raises `ScoreError` where the key does not sound `semitones` away, or
    where notes leave the MIDI range.
    """
    if semitones == 0 and fifths in (None, hymn.keys[0].fifths):
        return hymn
    steps = fifths_moved(hymn, semitones) if fifths is None else fifths - hymn.keys[0].fifths
    if (steps * _FIFTHS_OF_SEMITONE - semitones) % 12:
        raise ScoreError(f"a key of {fifths:+d} fifths is not {semitones:+d} semitones away")
    keys = tuple(_key(key, semitones, steps) for key in hymn.keys)
    moves = [
        (old.onset_q, Transposition(semitones, new.fifths - old.fifths))
        for old, new in zip(hymn.keys, keys, strict=True)
    ]

    def move(onset_q: Fraction) -> Transposition:
        return [found for start_q, found in moves if start_q <= onset_q or start_q == 0][-1]

    voices = tuple(_voice(voice, move) for voice in hymn.voices)
    _check(voices)
    remarks = (*hymn.remarks, *_lost_fingerings(hymn))
    return replace(hymn, voices=voices, keys=keys, remarks=remarks)


def fifths_moved(hymn: Hymn, semitones: int) -> int:
    """Fifths by which the keys move, so that the greatest number of signs is the least."""
    least = _FIFTHS_OF_SEMITONE * semitones % 12
    first = hymn.keys[0].fifths

    def signs(steps: int) -> tuple[int, int, int]:
        return max(abs(key.fifths + steps) for key in hymn.keys), abs(first + steps), steps

    return min((least + turns * 12 for turns in range(-3, 3)), key=signs)


def _key(key: KeyChange, semitones: int, steps: int) -> KeyChange:
    """The signature moved with the others; alone where it would have more than seven signs."""
    if abs(key.fifths + steps) > MOST_SIGNS:
        steps = transposition(semitones, key.fifths).fifths
    return replace(key, fifths=key.fifths + steps)


def _voice(voice: Voice, move: Move) -> Voice:
    return replace(voice, notes=tuple(_note(note, move(note.onset_q)) for note in voice.notes))


def _note(note: Note, move: Transposition) -> Note:
    pitches = sorted((move.pitch(p) for p in note.pitches), key=_height)
    graces = tuple(move.pitch(pitch) for pitch in note.graces)
    return replace(note, pitches=tuple(pitches), graces=graces, fingering=())


def _height(pitch: Pitch) -> tuple[int, int]:
    return pitch.midi, pitch.diatonic


def _check(voices: tuple[Voice, ...]) -> None:
    keys = [p.midi for voice in voices for note in voice.notes for p in note.pitches]
    if keys and not LOWEST <= min(keys) <= max(keys) <= HIGHEST:
        raise ScoreError("so far a move takes notes out of reach of any keyboard")


def _lost_fingerings(hymn: Hymn) -> tuple[Remark, ...]:
    if not any(note.fingering for voice in hymn.voices for note in voice.notes):
        return ()
    return (Remark("the printed fingerings are for the printed key: they are left out"),)
