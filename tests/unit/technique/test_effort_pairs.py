"""Effort of two players together, by hand-reckoned demands."""

from __future__ import annotations

from fractions import Fraction

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.tables import load
from suspirium.technique import find_technique
from suspirium.technique.effort.demand import Demand
from suspirium.technique.effort.pairs import pair_demand
from tests.conftest import PARISH

Q = Fraction


def test_a_pair_is_asked_what_each_is_and_where_one_moves_alone() -> None:
    found = [
        Demand(Q(0), "right", 2.0, ""),
        Demand(Q(1), "left", 1.0, ""),
        Demand(Q(1), "pedal", 4.0, ""),
        Demand(Q(0), "independence", 7.0, ""),
    ]
    moving = {Q(0): {"right"}, Q(1): {"left", "pedal"}, Q(2): {"right", "left", "pedal"}}
    alone = load("effort").number("independence.onset")
    assert pair_demand(found, moving) == {
        ("right", "left"): 3.0 + 2 * alone,
        ("right", "pedal"): 6.0 + 2 * alone,
        ("left", "pedal"): 5.0,
    }


def test_who_does_not_play_makes_no_pair() -> None:
    assert set(pair_demand([], {Q(0): {"right", "left"}})) == {("right", "left")}
    assert pair_demand([], {}) == {}


@pytest.mark.parametrize("path", sorted(PARISH.glob("*.abc")), ids=lambda path: path.stem)
def test_measures_add_up_to_the_hymn(path) -> None:
    effort = find_technique(plan_hymn(read(path.read_bytes(), path.name))).effort
    for name, points in effort.components.items():
        if name != "length":
            assert sum(m.components[name] for m in effort.measures) == pytest.approx(points)
    for pair, points in effort.pairs.items():
        assert sum(m.pairs.get(pair, 0.0) for m in effort.measures) <= points + 1e-6
    assert sum(m.demand for m in effort.measures) == pytest.approx(
        sum(points for name, points in effort.components.items() if name != "length")
    )


def test_the_words_name_the_dearest_pair() -> None:
    path = PARISH / "fallowmere.abc"
    effort = find_technique(plan_hymn(read(path.read_bytes(), path.name))).effort
    one, other = max(effort.pairs, key=lambda pair: effort.pairs[pair])
    names = {"right": "the right hand", "left": "the left hand", "pedal": "the pedal"}
    assert effort.words.endswith(f"of two together by {names[one]} with {names[other]}.")
