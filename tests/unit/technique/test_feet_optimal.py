from __future__ import annotations

import random

import pytest

from suspirium.technique.feet.board import pedalboard
from suspirium.technique.feet.search import pedal
from tests.unit.technique.bench import in_order, random_line
from tests.unit.technique.feet_brute import cheapest_points


@pytest.mark.parametrize("seed", range(240))
def test_a_pedal_line_is_as_cheap_as_the_best_of_all_ways(seed: int) -> None:
    rng = random.Random(seed)
    board = pedalboard(rng.choice(["ago", "rco", "bdo", "flat"]))
    notes = 4 if seed % 10 == 0 else rng.randint(2, 3)
    keys = in_order(random_line(rng, board.lowest, board.highest, notes, "bass"))
    expected = cheapest_points(keys, board)
    found = pedal(keys, board)
    if expected is None:
        assert any(not treads for treads in found.treads.values())
    else:
        assert all(found.treads.values())
        assert found.points == expected
