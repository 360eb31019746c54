"""Written pitches: a step, its alteration and an octave."""

from __future__ import annotations

from dataclasses import dataclass

STEPS = "CDEFGAB"
_SEMITONES = dict(zip(STEPS, (0, 2, 4, 5, 7, 9, 11), strict=True))
_SIGNS = {-2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}
_SHARP_ORDER = "FCGDAEB"


@dataclass(frozen=True, slots=True)
class Pitch:
    """A spelled pitch; octaves are scientific (middle C is C4)."""

    step: str
    alter: int
    octave: int

    @property
    def midi(self) -> int:
        """MIDI key number: middle C is 60 (MIDI 1.0 specification)."""
        return 12 * (self.octave + 1) + _SEMITONES[self.step] + self.alter

    @property
    def diatonic(self) -> int:
        """Steps of the staff above C0, for drawing and spelling."""
        return 7 * self.octave + STEPS.index(self.step)

    def __str__(self) -> str:
        return f"{self.step}{_SIGNS[self.alter]}{self.octave}"


def key_alter(step: str, fifths: int) -> int:
    """Alteration of `step` under a key signature of `fifths` sharps (negative: flats)."""
    place = _SHARP_ORDER.index(step)
    if fifths > 0:
        return (fifths - place + 6) // 7
    return -((-fifths - (6 - place) + 6) // 7)


def spelled(midi: int, fifths: int = 0) -> Pitch:
    """The plainest spelling of a MIDI key under a key signature.

    Of the spellings with at most one sign, the one nearest to the key on the line of
    fifths (from three fifths below to eight above a major tonic: the leading note
    of the relative minor is spelled as such); where a MIDI file tells no
    more than the key number, this is a guess by common practice.
    """
    position = (midi * 7) % 12  # fifths above C, modulo 12
    while position > fifths + 8:
        position -= 12
    while position < fifths - 3:
        position += 12
    step = _SHARP_ORDER[(position + 1) % 7]
    alter = (position + 1) // 7
    octave = (midi - _SEMITONES[step] - alter) // 12 - 1
    return Pitch(step, alter, octave)
