"""The manual's keys in mm."""

from __future__ import annotations

from functools import cache

from suspirium.tables import load

_NATURALS = {0: 0, 2: 1, 4: 2, 5: 3, 7: 4, 9: 5, 11: 6}
# Sharps stand where their group of naturals is divided into equal parts: C to E has five
# keys on three naturals, F to B seven on four (the usual division of the back ends).
_BACK_ENDS = {1: (0, 3, 5, 1), 3: (0, 3, 5, 3), 6: (3, 4, 7, 1), 8: (3, 4, 7, 3), 10: (3, 4, 7, 5)}


def is_black(midi: int) -> bool:
    """Whether the key is a sharp."""
    return midi % 12 not in _NATURALS


@cache
def middle_mm(midi: int) -> float:
    """Where the middle of a key lies, in mm to the right of the left edge of MIDI key 0."""
    octave_mm = load("hands").number("keys.octave_mm")
    natural_mm = octave_mm / 7
    octave, step = divmod(midi, 12)
    if step in _NATURALS:
        return octave * octave_mm + (_NATURALS[step] + 0.5) * natural_mm
    first, naturals, keys, place = _BACK_ENDS[step]
    return octave * octave_mm + (first + naturals * (place + 0.5) / keys) * natural_mm


@cache
def distance(low: int, high: int) -> int:
    """From key to key in semitones' widths, to the nearest whole one; negative downwards.

    Source: Jacobs 2001, Music Perception 18(4): key distance in place of semitones, in
    bins of a twelfth of an octave.
    """
    width = (middle_mm(high) - middle_mm(low)) / load("hands").number("keys.semitone_mm")
    nearest = int(abs(width) + 0.5)
    return nearest if width >= 0 else -nearest
