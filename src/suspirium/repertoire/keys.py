"""Names of keys: "G", "e minor", "Bb major" as sharps or flats and a mode."""

from __future__ import annotations

import re

from suspirium.errors import SearchError
from suspirium.score.pitch import Pitch

_NOTE = re.compile(r"^\s*([A-Ga-g])\s*(#|b|♯|♭)?\s*(-?\d)\s*$")
_NAME = re.compile(r"^\s*([A-Ga-g])\s*(#|b|♯|♭|sharp|flat)?\s*([A-Za-z]*)\s*$")
_ALTERS = {"#": 1, "♯": 1, "sharp": 1, "b": -1, "♭": -1, "flat": -1}
_LINE = "FCGDAEB"  # a fifth apart, C at 0 sharps as a major key
_MODES = {"major": 0, "minor": -3, "dorian": -2, "phrygian": -4, "lydian": 1, "mixolydian": -1}


def key_named(name: str) -> tuple[int, str]:
    """Fifths (sharps, flats negative) and mode of a key's name; a small letter alone is minor."""
    found = _NAME.match(name)
    if not found:
        raise SearchError(f"{name!r} is no key; write G, e minor, Bb major or d dorian")
    step, sign, rest = found.groups()
    usual = "minor" if step.islower() or rest == "m" else "major"
    mode = next((mode for mode in _MODES if rest and mode.startswith(rest.lower())), usual)
    alter = _ALTERS.get(sign or "", 0)
    return _LINE.index(step.upper()) - 1 + 7 * alter + _MODES[mode], mode


def midi_named(name: str) -> int:
    """The MIDI key of a note's name: C4 is middle C, 60."""
    found = _NOTE.match(name)
    if not found:
        raise SearchError(f"{name!r} is no note; write C4 for middle C, Bb3, F#5")
    step, sign, octave = found.groups()
    return Pitch(step.upper(), _ALTERS.get(sign or "", 0), int(octave)).midi
