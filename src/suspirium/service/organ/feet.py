"""Foot pitches: their names, and where they stand in the harmonic series of 8 foot."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from math import log2

from suspirium.tables import load

EIGHT = Fraction(8)


def feet_named(text: str) -> Fraction:
    """The pitch in feet of "8", "2 2/3" or "1 3/5"; `ValueError` for anything else."""
    whole = sum((Fraction(part) for part in text.strip().rstrip("'′").split()), Fraction(0))
    if not text.strip() or whole <= 0:
        raise ValueError(f"{text!r} is no pitch in feet")
    return whole


def feet_words(feet: Fraction) -> str:
    """The pitch as it is written on a stop: "2 2/3"."""
    whole, rest = divmod(feet, 1)
    parts = [str(whole)] if whole else []
    return " ".join(parts + ([str(rest)] if rest else []))


@cache
def known_pitches() -> frozenset[Fraction]:
    """The pitches of the table."""
    return frozenset(feet_named(text) for text in load("organs")["pitches"])


def harmonic(feet: Fraction) -> Fraction:
    """Which harmonic of 8 foot a pitch is: 4 foot the second, 16 foot one half."""
    return EIGHT / feet


@cache
def octaves(feet: Fraction) -> int | None:
    """Octaves above 8 foot (16 foot: -1), None for a pitch that is no octave."""
    above = log2(harmonic(feet))
    return round(above) if harmonic(feet) == Fraction(2) ** round(above) else None


def semitones(feet: Fraction) -> float:
    """Semitones above 8 foot, as the harmonic series has them: 12 log2 of the harmonic."""
    return 12 * log2(harmonic(feet))
