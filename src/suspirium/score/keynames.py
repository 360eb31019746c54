"""Names of keys, and where their tonics lie."""

from __future__ import annotations

_LINE = "FCGDAEB"  # a fifth apart: the tonic of no signs, C, is the second
_FROM_MAJOR = {  # fifths from the major tonic of the same signature up to the mode's own
    "major": 0,
    "ionian": 0,
    "mixolydian": 1,
    "dorian": 2,
    "minor": 3,
    "aeolian": 3,
    "phrygian": 4,
    "locrian": 5,
    "lydian": -1,
}


def key_words(fifths: int, mode: str) -> str:
    """The key's name, from its signature in sharps (flats negative): "G major", "E♭ major"."""
    alter, step = divmod(_tonic_fifths(fifths, mode) + 1, len(_LINE))
    return f"{_LINE[step]}{'♭' * -alter if alter < 0 else '♯' * alter} {mode}"


def tonic_class(fifths: int, mode: str) -> int:
    """The tonic's pitch class, C being 0; that of the major key for an unknown mode."""
    return 7 * _tonic_fifths(fifths, mode) % 12


def _tonic_fifths(fifths: int, mode: str) -> int:
    return fifths + _FROM_MAJOR.get(mode, 0)
