"""Fingering a group of keys: fixed fingers kept, like music alike, nothing left out that
can be played."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from suspirium.technique.fingers.fixed import fixed_wishes
from suspirium.technique.fingers.likeness import like_wishes
from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.names import COUNT, indices
from suspirium.technique.fingers.search import Fingering, Step, cheapest, steps_of
from suspirium.technique.fingers.wishes import Wishes
from suspirium.technique.hand import Side
from suspirium.technique.player import FixedFingers
from suspirium.technique.share import Key


def finger(
    keys: Sequence[Key],
    costs: Costs,
    sides: tuple[Side, ...],
    fixed: Iterable[FixedFingers] = (),
) -> Fingering:
    """The cheapest fingering of `keys` for these hands.

    Keys are left out only where the whole can't be played, no more at once than must be.
    """
    first, steps, wishes = _first(keys, costs, sides, tuple(fixed))
    again = like_wishes(keys, first, wishes)
    if len(again.at_end) == len(wishes.at_end):
        return first
    return cheapest(steps, again) or first


def _first(
    keys: Sequence[Key], costs: Costs, sides: tuple[Side, ...], fixed: tuple[FixedFingers, ...]
) -> tuple[Fingering, tuple[Step, ...], Wishes]:
    for left_out in range(COUNT + 1):
        steps = steps_of(keys, costs, indices(sides), left_out)
        wishes = fixed_wishes(keys, [step.segment for step in steps], fixed)
        found = cheapest(steps, wishes)
        if found is not None:
            return found, steps, wishes
    raise AssertionError("leaving out every key is always possible")
