"""Fingers that are wanted on certain keys: fixed ones, and those of like phrases."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from suspirium.technique.fingers.segments import Segment
from suspirium.technique.fingers.states import Array, States

Weights = Mapping[int, Array]  # by key: (CHOICES,) points of each finger


@dataclass(frozen=True, slots=True)
class Wishes:
    """Points by key for the finger that strikes it and for the finger that ends a segment.

    `at_end` is by (key, onset of the segment).
    """

    at_strike: Weights = field(default_factory=dict)
    at_end: Mapping[tuple[int, object], Array] = field(default_factory=dict)

    def struck(self, segment: Segment, states: States) -> Array:
        """(states,) points of the new keys' fingers."""
        points = np.zeros(len(states.fingers))
        for place, key in enumerate(segment.keys):
            if segment.new[place] and key in self.at_strike:
                points += self.at_strike[key][states.fingers[:, place]]
        return points

    def ended(self, segment: Segment, states: States) -> Array:
        """(states,) points of the fingers that hold the keys as the segment ends."""
        points = np.zeros(len(states.fingers))
        for place, key in enumerate(segment.keys):
            wish = self.at_end.get((key, segment.onset_q))
            if wish is not None:
                points += wish[states.fingers[:, place]]
        return points


NO_WISHES = Wishes()
