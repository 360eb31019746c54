"""Note values: lengths in quarters as written figures with dots."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

_FIGURES = (
    (Fraction(8), "breve"),
    (Fraction(4), "1"),
    (Fraction(2), "2"),
    (Fraction(1), "4"),
    (Fraction(1, 2), "8"),
    (Fraction(1, 4), "16"),
    (Fraction(1, 8), "32"),
    (Fraction(1, 16), "64"),
)


@cache
def figures(length_q: Fraction) -> tuple[tuple[str, int, Fraction], ...]:
    """The figures that make up a length, longest first: (value, dots, length).

    One figure where one is enough (with at most two dots), tied ones otherwise; what is
    shorter than a 64th is left away.
    """
    done: list[tuple[str, int, Fraction]] = []
    while length_q >= _FIGURES[-1][0]:
        done.append(_longest(length_q))
        length_q -= done[-1][2]
    return tuple(done)


def _longest(length_q: Fraction) -> tuple[str, int, Fraction]:
    best: tuple[str, int, Fraction] | None = None
    for base, name in _FIGURES:
        for dots in (0, 1, 2):
            value = base * (2 - Fraction(1, 2**dots))
            if value <= length_q and (best is None or value > best[2]):
                best = (name, dots, value)
    assert best is not None, "the caller passes no length below a 64th"
    return best
