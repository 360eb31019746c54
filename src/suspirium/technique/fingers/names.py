"""Ten fingers from left to right, and none: how the search numbers them."""

from __future__ import annotations

from suspirium.technique.hand import Side

# Left little finger 0 ... left thumb 4, right thumb 5 ... right little finger 9.
COUNT = 10
NONE = 10  # the key is left out or let go
CHOICES = 11
SIDES: tuple[Side, ...] = ("left",) * 5 + ("right",) * 5
NUMBERS = (5, 4, 3, 2, 1, 1, 2, 3, 4, 5)


def indices(sides: tuple[Side, ...]) -> tuple[int, ...]:
    """The fingers of these hands from left to right."""
    return tuple(index for index in range(COUNT) if SIDES[index] in sides)
