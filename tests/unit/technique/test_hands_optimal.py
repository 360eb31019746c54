from __future__ import annotations

import random

import pytest

from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.names import indices
from suspirium.technique.fingers.search import cheapest, steps_of
from suspirium.technique.fingers.wishes import NO_WISHES
from suspirium.technique.hand import Hand, preset
from suspirium.technique.share import BOTH
from tests.unit.technique.bench import in_order, random_line
from tests.unit.technique.hands_brute import cheapest_points

HANDS = [preset("small"), preset("medium"), Hand(17.0)]


@pytest.mark.parametrize("seed", range(120))
def test_one_line_is_as_cheap_as_the_best_of_all_ways(seed: int) -> None:
    rng = random.Random(seed)
    keys = in_order(random_line(rng, 52, 76, rng.randint(2, 4), rng.choice(["melody", "alto"])))
    costs = Costs(rng.choice(HANDS))
    found = cheapest(steps_of(keys, costs, indices(BOTH)), NO_WISHES)
    expected = cheapest_points(keys, costs)
    assert expected is not None
    assert found is not None
    assert found.points == expected


@pytest.mark.parametrize("seed", range(120))
def test_two_lines_are_as_cheap_as_the_best_of_all_ways(seed: int) -> None:
    rng = random.Random(1000 + seed)
    upper = random_line(rng, 64, 80, 2, "melody")
    lower = random_line(rng, 48, 62, rng.randint(1, 2), rng.choice(["alto", "tenor"]))
    keys = in_order([*upper, *lower])
    costs = Costs(rng.choice(HANDS))
    found = cheapest(steps_of(keys, costs, indices(BOTH)), NO_WISHES)
    expected = cheapest_points(keys, costs)
    assert (found.points if found else None) == expected
