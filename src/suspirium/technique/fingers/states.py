"""Whole states of the hands: an ordered choice of fingers for the keys that are down.

Fingers are numbered from left to right (`suspirium.technique.fingers.names`), so a state
is an ascending choice: hands and fingers never cross within a chord.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
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


# Points of two keys held together, (CHOICES, CHOICES): rows are the lower key's finger,
# columns the higher one's; NaN where it can't be.
Pair = Callable[[int, int], Array]


def pair_points(reaches: Reaches, low_key: int, high_key: int) -> Array:
    """The points of a `Pair`; nothing between two hands, or for a key without a finger."""
    points = np.zeros((CHOICES, CHOICES))
    for low in range(COUNT):
        for high in range(COUNT):
            if SIDES[low] == SIDES[high]:
                keys = (low_key, NUMBERS[low]), (high_key, NUMBERS[high])
                found = chord(reaches, SIDES[low], *keys)
                points[low, high] = np.nan if found is None else found
    return points


def states_of(
    midis: tuple[int, ...], reaches: Reaches, choices: tuple[int, ...], left_out: int, pair: Pair
) -> States:
    """The states of a chord (`midis` ascend); up to `left_out` keys may have no finger."""
    places = combinations(range(len(midis)), 2)
    pairs = {(i, j): pair(midis[i], midis[j]) for i, j in places}
    fingers = _possible(len(midis), choices, left_out, pairs)
    changed = fingers[:, None, :] != fingers[None, :, :]
    return States(
        fingers=fingers,
        one_hot=_one_hot(fingers),
        pair_points={
            (i, j): points[fingers[:, i], fingers[:, j]] for (i, j), points in pairs.items()
        },
        place=_places(midis, reaches, fingers),
        changed=changed,
        steps=_steps(fingers, changed),
    )


def _possible(
    keys: int, choices: tuple[int, ...], left_out: int, pairs: Mapping[tuple[int, int], Array]
) -> NDArray[np.int64]:
    """(states, keys) fingers that can hold the keys, those that leave none out first."""
    found = []
    for count in range(min(left_out, keys) + 1):
        chosen = _choices(choices, keys - count)
        for missing in combinations(range(keys), count):
            played = [place for place in range(keys) if place not in missing]
            state = np.full((len(chosen), keys), NONE, dtype=np.int64)
            state[:, played] = chosen
            held = np.ones(len(state), dtype=bool)
            for (i, j), points in pairs.items():
                held &= ~np.isnan(points[state[:, i], state[:, j]])
            found.append(state[held])
    return np.concatenate(found)


@lru_cache(maxsize=64)
def _choices(choices: tuple[int, ...], count: int) -> NDArray[np.int64]:
    """(ways, count) ascending choices of fingers."""
    ways = list(combinations(choices, count))
    return np.array(ways, dtype=np.int64).reshape(len(ways), count)


def _one_hot(fingers: NDArray[np.int64]) -> Array:
    states, keys = fingers.shape
    hot = np.zeros((states, keys, CHOICES))
    hot[np.arange(states)[:, None], np.arange(keys)[None, :], fingers] = 1.0
    return hot.reshape(states, keys * CHOICES)


def rest_places(reaches: Reaches) -> tuple[float, ...]:
    """Where each finger of a resting hand lies, in semitones' widths outward from the thumb:
    the middle of its relaxed span from it."""
    relaxed = [(reaches[1, f].min_rel + reaches[1, f].max_rel) / 2 for f in FINGERS[1:]]
    return (0.0, *relaxed)


def _places(midis: tuple[int, ...], reaches: Reaches, fingers: NDArray[np.int64]) -> Array:
    """Each hand's thumb as its fingers at rest would have it, the mean of its fingers."""
    rest = np.array([*(rest_places(reaches)[number - 1] for number in NUMBERS), 0.0])
    keys = np.array([position(midi) for midi in midis])
    place = np.full((len(fingers), 2), np.nan)
    for side, sign in enumerate((-1.0, 1.0)):
        own = (fingers < COUNT) & ((fingers >= COUNT // 2) == (side == 1))
        count = own.sum(axis=1)
        thumbs = np.where(own, keys - sign * rest[fingers], 0.0).sum(axis=1)
        place[count > 0, side] = thumbs[count > 0] / count[count > 0]
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
