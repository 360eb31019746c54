"""Tunes alike, in other keys or rhythms: melodies aligned tone by tone.

Aligned over the whole of both (Needleman and Wunsch 1970, J. Mol. Biol. 48), tones weighed
by the square root of their length, in the transposition that brings most together.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from suspirium.repertoire.melody import Melody
from suspirium.tables import load

Array = npt.NDArray[np.float64]

_OCTAVE = 12


def likeness(one: Melody, other: Melody) -> float:
    """How alike two melodies are, 0 to 1, in the best transposition of one to the other."""
    shifts = _shifts(one.keys, other.keys)
    return max((_aligned(one, other, shift) for shift in shifts), default=0.0)


def _shifts(one: Sequence[int], other: Sequence[int]) -> list[int]:
    """The transpositions that bring the most equal tones together by their histograms."""
    counts = []
    for shift in range(_OCTAVE):
        high = np.bincount([(key + shift) % _OCTAVE for key in one], minlength=_OCTAVE)
        low = np.bincount([key % _OCTAVE for key in other], minlength=_OCTAVE)
        counts.append((int(np.minimum(high / len(one), low / len(other)).sum() * 1e6), -shift))
    ranked = sorted(range(_OCTAVE), key=lambda shift: counts[shift], reverse=True)
    return ranked[:3]


def _aligned(one: Melody, other: Melody, shift: int) -> float:
    """Likeness of the best alignment: 1 less its cost against that of nothing in common."""
    table = load("repertoire")
    gap, other_cost, step_cost = (
        table.number(f"alike.{name}") for name in ("gap", "other", "step")
    )
    first = np.array([(key + shift) % _OCTAVE for key in one.keys])
    second = np.array([key % _OCTAVE for key in other.keys])
    weight, against = _weights(one.lengths_q), _weights(other.lengths_q)
    apart = np.abs(first[:, None] - second[None, :])
    apart = np.minimum(apart, _OCTAVE - apart)
    price = np.where(apart == 0, 0.0, np.where(apart <= 2, step_cost, other_cost))
    price = price * (weight[:, None] + against[None, :]) / 2
    gaps = gap * against
    row = np.concatenate([[0.0], np.cumsum(gaps)])
    for i in range(len(first)):
        down = row + gap * weight[i]
        down[1:] = np.minimum(down[1:], row[:-1] + price[i])
        # Gaps in the other melody: a running minimum of the cost less the gaps so far.
        so_far = np.concatenate([[0.0], np.cumsum(gaps)])
        row = np.minimum.accumulate(down - so_far) + so_far
    most = gap * (weight.sum() + against.sum())
    return float(1 - row[-1] / most)


def _weights(lengths_q: Sequence[Fraction]) -> Array:
    """Square roots of the lengths in mean lengths: the same tune in half notes weighs the same."""
    lengths = np.array([float(length) for length in lengths_q])
    return np.asarray(np.sqrt(lengths / lengths.mean()))
