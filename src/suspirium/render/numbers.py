"""Lengths as JSON numbers."""

from __future__ import annotations

from fractions import Fraction


def number(value: Fraction) -> int | float:
    """A length as a JSON number: whole where it is whole."""
    return int(value) if value.denominator == 1 else round(float(value), 6)
