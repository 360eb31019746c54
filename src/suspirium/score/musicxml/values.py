"""Note values: their MusicXML names, dots and beams."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cache

_TYPES = {
    Fraction(8): "breve",
    Fraction(4): "whole",
    Fraction(2): "half",
    Fraction(1): "quarter",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
    Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th",
    Fraction(1, 32): "128th",
}
_MOST_DOTS = 3
_BEAMS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5}
Value = tuple[str, int]


@cache
def note_value(length_q: Fraction) -> Value | None:
    """The type and dots of a length, None where no single note has it."""
    for base_q, name in _TYPES.items():
        for dots in range(_MOST_DOTS + 1):
            if base_q * (2 - Fraction(1, 2**dots)) == length_q:
                return name, dots
    return None


def rest_lengths(length_q: Fraction) -> Iterator[Fraction]:
    """A length as rests that can be written, the longest first; one if no sum is exact."""
    if note_value(length_q) is not None:
        yield length_q
        return
    left_q, parts = length_q, []
    for base_q in _TYPES:
        while left_q >= base_q:
            parts.append(base_q)
            left_q -= base_q
    yield from parts if left_q == 0 else [length_q]


def beams(value: Value | None) -> int:
    """How many beams a note value has; a longer note under a beam counts as having one."""
    return _BEAMS.get(value[0], 1) if value else 1
