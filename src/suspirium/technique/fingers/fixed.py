"""Fixed fingers as wishes too dear to be left where they can be played at all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from suspirium.tables import load
from suspirium.technique.fingers.names import CHOICES, COUNT, NUMBERS, SIDES
from suspirium.technique.fingers.segments import Segment
from suspirium.technique.fingers.states import Array
from suspirium.technique.fingers.wishes import NO_WISHES, Wishes
from suspirium.technique.hand import Side
from suspirium.technique.player import FixedFingers
from suspirium.technique.share import Key


def fixed_keys(keys: Sequence[Key], fixed: Iterable[FixedFingers]) -> dict[int, FixedFingers]:
    """The keys that the fixed fingers name, by index."""
    wanted = {(one.voice, one.written_q): one for one in fixed}
    return {
        index: wanted[voice, key.written_q]
        for index, key in enumerate(keys)
        for voice in key.voices
        if (voice, key.written_q) in wanted
    }


def fixed_wishes(
    keys: Sequence[Key], segments: Sequence[Segment], fixed: Iterable[FixedFingers]
) -> Wishes:
    """The first finger at the stroke, the last one when the key comes up; a single finger
    stays throughout."""
    found = fixed_keys(keys, fixed)
    if not found:
        return NO_WISHES
    at_end: dict[tuple[int, object], Array] = {}
    for segment, following in zip(segments, [*segments[1:], None], strict=True):
        for key in segment.keys:
            leaves = following is None or key not in following.keys
            if key in found and (leaves or len(found[key].fingers) == 1):
                at_end[key, segment.onset_q] = _wish(found[key].fingers[-1], found[key].side)
    at_strike = {key: _wish(one.fingers[0], one.side) for key, one in found.items()}
    return Wishes(at_strike, at_end)


def _wish(number: int, side: Side | None) -> Array:
    wish = np.full(CHOICES, load("fingering").number("fixed.other_finger"))
    for finger in range(COUNT):
        if NUMBERS[finger] == number and side in (None, SIDES[finger]):
            wish[finger] = 0.0
    return wish
