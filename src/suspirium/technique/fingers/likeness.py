"""Like music gets like fingering: wishes for a second pass from the first."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

import numpy as np

from suspirium.tables import load
from suspirium.technique.fingers.names import CHOICES
from suspirium.technique.fingers.search import Fingering
from suspirium.technique.fingers.segments import Segment
from suspirium.technique.fingers.states import Array
from suspirium.technique.fingers.wishes import Wishes
from suspirium.technique.share import Key

_AROUND = 2


def like_places(keys: Sequence[Key], segments: Sequence[Segment]) -> dict[int, int]:
    """For each segment that repeats an earlier one, with the same neighbours on both sides,
    the first such segment."""
    contents = [_content(keys, segment) for segment in segments]
    first: dict[Hashable, int] = {}
    found = {}
    for index in range(_AROUND, len(segments) - _AROUND):
        around = tuple(contents[index - _AROUND : index + _AROUND + 1])
        earlier = first.setdefault(around, index)
        if earlier != index:
            found[index] = earlier
    return found


def _content(keys: Sequence[Key], segment: Segment) -> Hashable:
    midis = tuple((keys[index].midi, keys[index].voices) for index in segment.keys)
    return midis, segment.new, segment.lasting, round(segment.length_s, 3)


def like_wishes(keys: Sequence[Key], fingering: Fingering, fixed: Wishes) -> Wishes:
    """The first pass's fingers wished for wherever the same music comes again."""
    points = load("fingering").number("like.other_finger")
    at_strike = dict(fixed.at_strike)
    at_end = dict(fixed.at_end)
    for index, earlier in like_places(keys, fingering.segments).items():
        segment = fingering.segments[index]
        for place, key in enumerate(segment.keys):
            if segment.new[place]:
                wish = _wish(fingering.struck[earlier][place], points)
                at_strike[key] = at_strike.get(key, 0.0) + wish
            where = key, segment.onset_q
            at_end[where] = at_end.get(where, 0.0) + _wish(fingering.ended[earlier][place], points)
    return Wishes(at_strike, at_end)


def _wish(finger: int, points: float) -> Array:
    wish = np.full(CHOICES, points)
    wish[finger] = 0.0
    return wish
