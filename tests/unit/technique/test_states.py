"""States of a chord: those that hands can hold, and the one that leaves all keys out."""

from __future__ import annotations

from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.names import COUNT, NONE
from suspirium.technique.hand import preset


def test_all_keys_may_be_left_out() -> None:
    states = Costs(preset("medium")).states((60, 64), tuple(range(COUNT)), 2)
    assert states.fingers[-1].tolist() == [NONE, NONE]
    assert all(low < high for low, high in states.fingers.tolist() if NONE not in (low, high))
