"""Written pitches and keys moved to where they sound."""

from __future__ import annotations

from dataclasses import dataclass

from suspirium.score.pitch import STEPS, Pitch, spelled

_FIFTHS = "FCGDAEB"
_SEMITONES = {step: Pitch(step, 0, -1).midi for step in STEPS}
_MOST_ALTERED = 2


@dataclass(frozen=True, slots=True)
class Transposition:
    """A move by `semitones`, spelled by going `fifths` along the line of fifths."""

    semitones: int = 0
    fifths: int = 0

    def pitch(self, pitch: Pitch) -> Pitch:
        """The pitch moved and spelled alike; plainly spelled where that takes three signs."""
        midi = pitch.midi + self.semitones
        place = _FIFTHS.index(pitch.step) + 7 * pitch.alter + self.fifths
        alter, step = place // 7, _FIFTHS[place % 7]
        if abs(alter) > _MOST_ALTERED:
            return spelled(midi)
        return Pitch(step, alter, (midi - _SEMITONES[step] - alter) // 12 - 1)


UNMOVED = Transposition()


def transposition(semitones: int, fifths: int) -> Transposition:
    """The move by `semitones` that takes a key of `fifths` to the key of fewest signs.

    Two keys of six signs are as plain as each other: it is the one with flats.
    """
    least = 7 * semitones % 12
    steps = min((least, least - 12), key=lambda move: (abs(fifths + move), move))
    while abs(fifths + steps) > 7:
        steps -= 12 if fifths + steps > 0 else -12
    return Transposition(semitones, steps)
