"""Whole states of the hands: an ordered choice of fingers for the keys that are down.

Fingers are numbered from left to right (`suspirium.technique.fingers.names`), so a state
is an ascending choice: hands and fingers never cross within a chord.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from suspirium.technique.fingers.names import CHOICES, COUNT, NONE, NUMBERS, SIDES
from suspirium.technique.fingers.spans import Reaches, chord
from suspirium.technique.hand import FINGERS
from suspirium.technique.keyboard import distance

Array = NDArray[np.float64]
MOST_SUBSTITUTIONS = 2


@dataclass(frozen=True, slots=True)
class States:
    """All states of one chord.

    fingers: (states, keys) finger indices; one_hot: (states, keys · CHOICES);
    pair_points: {(i, j): (states,)} points of two keys held together by one hand;
    place: (states, 2) where each hand is, in semitones' widths, NaN where it plays nothing;
    changed: (states, states, keys) whether a key changes its finger;
    steps: (states, states) substitutions on the way, more than can be where there is none.
    """

    fingers: NDArray[np.int64]
    one_hot: Array
    pair_points: dict[tuple[int, int], Array]
    place: Array
    changed: NDArray[np.bool_]
    steps: NDArray[np.int64]


def states_of(
    midis: tuple[int, ...], reaches: Reaches, choices: tuple[int, ...], left_out: int
) -> States:
    """The states of a chord (`midis` ascend); up to `left_out` keys may have no finger."""
    found = _possible(midis, reaches, choices, left_out)
    fingers = np.array(found, dtype=np.int64).reshape(len(found), len(midis))
    changed = fingers[:, None, :] != fingers[None, :, :]
    return States(
        fingers=fingers,
        one_hot=_one_hot(fingers),
        pair_points=_pair_points(midis, reaches, fingers),
        place=_places(midis, reaches, fingers),
        changed=changed,
        steps=_steps(fingers, changed),
    )


def _possible(
    midis: tuple[int, ...], reaches: Reaches, choices: tuple[int, ...], left_out: int
) -> list[tuple[int, ...]]:
    found = []
    for count in range(min(left_out, len(midis)) + 1):
        for missing in combinations(range(len(midis)), count):
            played = [place for place in range(len(midis)) if place not in missing]
            for chosen in combinations(choices, len(played)):
                state = [NONE] * len(midis)
                for place, finger in zip(played, chosen, strict=True):
                    state[place] = finger
                if _held(midis, reaches, state):
                    found.append(tuple(state))
    return found


def _held(midis: tuple[int, ...], reaches: Reaches, state: list[int]) -> bool:
    pairs = combinations(range(len(midis)), 2)
    return all(_points(midis, reaches, state[i], state[j], i, j) is not None for i, j in pairs)


def _points(
    midis: tuple[int, ...], reaches: Reaches, low: int, high: int, i: int, j: int
) -> float | None:
    """Points of two keys of the chord together; none between two hands."""
    if NONE in (low, high) or SIDES[low] != SIDES[high]:
        return 0.0
    return chord(reaches, SIDES[low], (midis[i], NUMBERS[low]), (midis[j], NUMBERS[high]))


def _one_hot(fingers: NDArray[np.int64]) -> Array:
    states, keys = fingers.shape
    hot = np.zeros((states, keys, CHOICES))
    hot[np.arange(states)[:, None], np.arange(keys)[None, :], fingers] = 1.0
    return hot.reshape(states, keys * CHOICES)


def _pair_points(
    midis: tuple[int, ...], reaches: Reaches, fingers: NDArray[np.int64]
) -> dict[tuple[int, int], Array]:
    return {
        (i, j): np.array(
            [_points(midis, reaches, low, high, i, j) for low, high in fingers[:, [i, j]].tolist()]
        )
        for i, j in combinations(range(len(midis)), 2)
    }


def rest_places(reaches: Reaches) -> tuple[float, ...]:
    """Where each finger of a resting hand lies, in semitones' widths outward from the thumb:
    the middle of its relaxed span from it."""
    relaxed = [(reaches[1, f].min_rel + reaches[1, f].max_rel) / 2 for f in FINGERS[1:]]
    return (0.0, *relaxed)


def _places(midis: tuple[int, ...], reaches: Reaches, fingers: NDArray[np.int64]) -> Array:
    """Each hand's thumb as its fingers at rest would have it, the mean of its fingers."""
    rest = rest_places(reaches)
    place = np.full((len(fingers), 2), np.nan)
    for row, state in enumerate(fingers.tolist()):
        for side, sign in enumerate((-1.0, 1.0)):
            thumbs = [
                position(midi) - sign * rest[NUMBERS[finger] - 1]
                for midi, finger in zip(midis, state, strict=True)
                if finger < COUNT and (finger >= COUNT // 2) == (side == 1)
            ]
            if thumbs:
                place[row, side] = sum(thumbs) / len(thumbs)
    return place


def _steps(fingers: NDArray[np.int64], changed: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Substitutions one after another within a hand, each through a state that it can hold."""
    side = np.array([*(SIDES[finger] == "left" for finger in range(COUNT)), 2])[fingers]
    hand_changes = (side[:, None, :] != side[None, :, :]).any(axis=2)
    count = changed.sum(axis=2)
    one = (count == 1) & ~hand_changes
    two = (count == 2) & (one.astype(np.float64) @ one.astype(np.float64) > 0)
    steps = np.full(count.shape, MOST_SUBSTITUTIONS + 1)
    steps[count == 0] = 0
    steps[one] = 1
    steps[two] = 2
    return steps


def position(midi: int) -> float:
    """Where a key lies in semitones' widths, twelve to the octave."""
    octave, step = divmod(midi, 12)
    return float(12 * octave + distance(0, step))
