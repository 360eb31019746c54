from __future__ import annotations

from fractions import Fraction
from itertools import combinations, pairwise
from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.render.engrave.breaks import Place, breakings
from suspirium.tables import load

WIDTH = 100.0


def places(widths: list[int], verses: list[bool]) -> list[Place]:
    xs = [sum(widths[:index]) for index in range(len(widths))]
    starts = zip(xs, [True, *verses], strict=False)
    return [Place(Fraction(i), float(x), verse) for i, (x, verse) in enumerate(starts)]


def cost_of(found: list[Place], end_x: float, starts: tuple[int, ...]) -> float:
    """The costs as the table states them, summed system by system."""
    table = load("page")
    xs = [*(place.x for place in found), end_x]
    even = min(1.0, end_x / WIDTH / len(starts))
    total = 0.0
    for start, end in pairwise([*starts, len(found)]):
        fill = (xs[end] - xs[start]) / WIDTH
        total += table["cost.uneven"] * (log(fill) - log(even)) ** 2
        total += table["cost.crowded"] * max(0.0, fill - table["crowded_from"]) ** 2
        total += table["cost.overfull"] * max(0.0, fill - 1.04)
        total += table["cost.inside"] * (start > 0 and not found[start].verse)
        total += table["cost.joined"] * sum(place.verse for place in found[start + 1 : end])
    return total


@given(
    st.lists(st.integers(10, 60), min_size=2, max_size=7),
    st.lists(st.booleans(), min_size=6, max_size=6),
)
def test_no_breaks_cost_less(widths, verses) -> None:
    """Against all breaks into as many systems that are not far too full."""
    found, end_x = places(widths, verses), float(sum(widths))
    for breaking in breakings(found, end_x, 0.0, WIDTH):
        starts = (0, *(int(q) for q in breaking.starts_q))
        assert breaking.cost == pytest.approx(cost_of(found, end_x, starts))
        others = combinations(range(1, len(found)), breaking.systems - 1)
        least = min(cost_of(found, end_x, (0, *other)) for other in others)
        assert breaking.cost == pytest.approx(least) or least > 50


def test_lines_of_verse_begin_systems() -> None:
    found = places([20] * 8, [False, True, False, True, False, True, False])
    best = min(breakings(found, 160.0, 0.0, WIDTH), key=lambda breaking: breaking.cost)
    assert [int(q) for q in best.starts_q] == [2, 4, 6]


def test_music_too_wide_for_any_system_is_still_broken() -> None:
    (only,) = breakings(places([450, 40], [True]), 490.0, 0.0, WIDTH)
    assert only.systems == 2
    (whole,) = breakings(places([450], []), 450.0, 0.0, WIDTH)
    assert whole.starts_q == ()
