"""Poetic metres: which line lengths are usual, alone and together."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np


class Metres:
    """How usual line lengths are, alone, side by side and as whole metres."""

    def __init__(
        self,
        lengths: Sequence[float],  # log probabilities of 0, 1, 2... units
        pairs: dict[tuple[int, int], float],
        known: frozenset[tuple[int, ...]],
    ) -> None:
        self.lengths = np.array(lengths)
        self._lengths = tuple(lengths)
        self.pair_logs = pairs
        self._known = known

    def length(self, units: int) -> float:
        """Log probability of a line of so many units."""
        return self._lengths[min(units, len(self._lengths) - 1)]

    def pairs(self, lengths: Sequence[int]) -> float:
        """Sum over adjoining lines of the log probability of the second after the first."""
        return sum(self.pair_logs.get(pair, self.length(pair[1])) for pair in pairwise(lengths))

    def known(self, lengths: Sequence[int]) -> float:
        """1 for a metre of the table, or one repeated, else 0."""
        row = tuple(lengths)
        return float(
            any(
                len(row) % len(metre) == 0 and row == metre * (len(row) // len(metre))
                for metre in self._known
            )
        )
