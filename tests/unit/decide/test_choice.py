"""Decisions: the cheapest candidate, its margin, and what decided it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.decide.choice import Input, Problem, Term, choose, clauses, why


@dataclass(frozen=True, slots=True)
class Setting:
    """Two wishes and where they pull."""

    left: int
    right: int


def problem(left: int, right: int, by_left: float, by_right: float) -> Problem[int, Setting]:
    """A number from 0 to 9, near `left` at one price and near `right` at another."""
    return Problem(
        setting=Setting(left, right),
        candidates=lambda _: range(10),
        terms=(
            Term(
                "left",
                "t.left",
                by_left,
                ("left",),
                lambda value, s: abs(value - s.left),
                lambda value, s: f"{value} for left {s.left}",
            ),
            Term(
                "right",
                "t.right",
                by_right,
                ("right",),
                lambda value, s: abs(value - s.right),
                lambda value, s: f"{value} for right {s.right}",
            ),
        ),
        inputs=(
            Input("left", lambda s: s.left, lambda s: (replace(s, left=n) for n in range(10))),
            Input("right", lambda s: s.right, lambda s: (replace(s, right=n) for n in range(10))),
        ),
    )


places = st.integers(0, 9)
prices = st.sampled_from((0.0, 1.0, 2.0, 3.5))


@given(places, places, prices, prices)
def test_the_choice_is_the_cheapest_of_all(left, right, by_left, by_right):
    asked = problem(left, right, by_left, by_right)
    found = choose(asked)
    costs = [by_left * abs(n - left) + by_right * abs(n - right) for n in range(10)]
    assert costs[found.value] == pytest.approx(min(costs)) == pytest.approx(found.cost)
    assert found.margin == pytest.approx(sorted(costs)[1] - min(costs))


@given(places, places, places, prices, prices)
def test_an_input_whose_change_moves_the_value_is_named(left, right, other, by_left, by_right):
    before, after = (
        problem(left, right, by_left, by_right),
        problem(other, right, by_left, by_right),
    )
    if choose(before).value != choose(after).value:
        assert "left" in why(after).inputs
        assert any("for left" in clause for clause in clauses(after, 0, why(after)))


@given(places, places, prices)
def test_a_term_of_no_weight_is_never_named(left, right, by_right):
    asked = problem(left, right, 0.0, by_right)
    found = why(asked)
    assert "left" not in found.terms
    assert "left" not in found.inputs
    assert not any("for left" in clause for clause in clauses(asked, 0, found))


def test_a_term_that_another_outweighs_is_not_said_to_decide():
    found = why(problem(2, 7, 1.0, 5.0))
    assert found.terms == ("right",)
    assert found.inputs == ("right",)


def test_the_first_of_equals_is_chosen():
    assert choose(problem(3, 3, 0.0, 0.0)).value == 0


def test_without_another_value_the_margin_is_infinite():
    asked = replace(problem(1, 1, 1.0, 1.0), candidates=lambda _: (4,))
    assert choose(asked).runner_up is None
    assert choose(asked).margin == float("inf")


def test_values_that_are_alike_are_no_rivals():
    asked = replace(problem(3, 3, 1.0, 1.0), alike=lambda a, b: abs(a - b) < 2)
    assert choose(asked).runner_up in (1, 5)


def test_no_candidate_is_an_error():
    with pytest.raises(ValueError, match="at least one candidate"):
        choose(replace(problem(1, 1, 1.0, 1.0), candidates=lambda _: ()))
