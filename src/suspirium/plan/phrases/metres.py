"""Poetic metres: which line lengths are usual, alone, side by side and as a whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import log

Metre = tuple[int, ...]

RARE = 0.1  # tunes in a thousand that a metre missing from the table is taken to have
LEAST_STANZA = 3  # lines of a known metre that a refrain may follow
SHORT = 6  # a metre of at most so many lines is also sung doubled
HALF = 0.5  # what a doubled metre counts against one of its own name
PAIR_COUNT = 6.0  # pairs seen count against so many drawn from the single lengths
SPREAD = 0.15  # what a length seen says of its neighbours


class Metres:
    """What is known of line lengths in syllables (or units).

    `lengths` and `pairs` count lines and adjoining lines; `tunes` says how many of a
    thousand tunes have a metre.
    """

    def __init__(
        self,
        lengths: Mapping[int, int],
        pairs: Mapping[tuple[int, int], int],
        tunes: Mapping[Metre, float],
    ) -> None:
        self.lengths, self.pairs, self.tunes = lengths, pairs, tunes
        self._chances = _chances(lengths)
        self._firsts: dict[int, int] = {}
        for (first, _), count in pairs.items():
            self._firsts[first] = self._firsts.get(first, 0) + count
        self._known = _known(tunes)
        self._by_lines: dict[int, list[tuple[Metre, float]]] = {}
        self._by_total: dict[int, list[Metre]] = {}
        for metre, weight in self._known.items():
            self._by_lines.setdefault(len(metre), []).append((metre, weight))
            self._by_total.setdefault(sum(metre), []).append(metre)
        self._near: dict[Metre, float] = {}

    def logs(self, longest: int) -> list[float]:
        """Log probability of a line of 0, 1... `longest` units."""
        return [log(self._chance(length)) for length in range(longest + 1)]

    def _chance(self, length: int) -> float:
        return self._chances.get(length, min(self._chances.values()))

    def summing_to(self, total: int) -> Sequence[Metre]:
        """The known metres of so many syllables."""
        return self._by_total.get(total, ())

    def side_by_side(self, lengths: Metre) -> float:
        """Sum over adjoining lines of the log probability of the second after the first."""
        return sum(
            log(
                (self.pairs.get(pair, 0) + PAIR_COUNT * self._chance(pair[1]))
                / (self._firsts.get(pair[0], 0) + PAIR_COUNT)
            )
            for pair in pairwise(lengths)
        )

    def known(self, lengths: Metre) -> float:
        """How usual the metre is, 0 if it isn't in the table."""
        return self._known.get(lengths, 0.0)

    def with_refrain(self, lengths: Metre) -> float:
        """The most usual metre that the lines are or begin with."""
        whole = self.known(lengths)
        if whole:
            return whole
        return max(
            (self.known(lengths[:lines]) for lines in range(LEAST_STANZA, len(lengths))),
            default=0.0,
        )

    def near(self, lengths: Metre) -> float:
        """The most usual metre that differs in few lines, and by one unit where it can be."""
        if lengths not in self._near:
            self._near[lengths] = max(
                (
                    weight * max(0.0, 2 * _alike(lengths, metre) - 1)
                    for metre, weight in self._by_lines.get(len(lengths), ())
                ),
                default=0.0,
            )
        return self._near[lengths]


def _alike(one: Metre, other: Metre) -> float:
    score = 0.0
    for a, b in zip(one, other, strict=True):
        if a == b:
            score += 1
        elif a - b in (1, -1):
            score += 0.5
    return score / len(one)


def _known(tunes: Mapping[Metre, float]) -> dict[Metre, float]:
    """Log of how usual each metre is, and doubled and trebled ones by their halves."""
    found = {metre: log(count / RARE) for metre, count in tunes.items()}
    for times, most, share in ((2, SHORT, HALF), (3, SHORT - 2, HALF / 2)):
        for metre, count in tunes.items():
            if len(metre) <= most:
                found.setdefault(metre * times, share * log(count / RARE))
    return found


def _chances(lengths: Mapping[int, int]) -> dict[int, float]:
    """Probabilities of line lengths, a little of each given to its neighbours."""
    longest = max(lengths, default=1) + 1
    counts = dict.fromkeys(range(longest + 1), 0.1)
    for length, count in lengths.items():
        counts[length] += count
        for neighbour in (length - 1, length + 1):
            counts[neighbour] += SPREAD * count
    total = sum(counts.values())
    return {length: count / total for length, count in counts.items()}
