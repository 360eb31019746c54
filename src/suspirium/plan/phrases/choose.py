"""Choosing one segmentation: not the likeliest one, but the one expected to agree best.

Where two ways of cutting are about equally likely (a long line or its two halves), the
way that shares most ends with all likely ways loses least.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from suspirium.plan.phrases.segment import Array, Ends

CONSIDERED = 25  # the likeliest segmentations that are held against one another


def probabilities(scores: Array) -> Array:
    """Scores (logarithms) as probabilities that sum to 1."""
    power = np.exp(scores - scores.max())
    return np.asarray(power / power.sum())


def most_agreeing(ways: Sequence[Ends], chances: Array) -> Ends:
    """The segmentation with the greatest expected F1 against the likely ones."""
    order = np.argsort(-chances, kind="stable")[:CONSIDERED]
    sets = [frozenset(ways[i]) for i in order]
    shares = [float(chances[i]) for i in order]
    expected = [
        sum(share * agreement(one, other) for share, other in zip(shares, sets, strict=True))
        for one in sets
    ]
    return ways[int(order[max(range(len(sets)), key=lambda i: (expected[i], -i))])]


def agreement(one: frozenset[int], other: frozenset[int]) -> float:
    """F1 of two sets of ends: 1 where they are the same, 0 where they share none."""
    if not one and not other:
        return 1.0
    return 2 * len(one & other) / (len(one) + len(other))


def end_chances(ways: Sequence[Ends], chances: Array, chosen: Ends) -> list[float]:
    """For each chosen end the total probability of the ways that have it."""
    return [
        float(sum(chance for way, chance in zip(ways, chances, strict=True) if end in way))
        for end in chosen
    ]
