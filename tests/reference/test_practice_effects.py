"""What has been published on practice holds in the model, in direction (and where the
publication gives a size that the model uses, in size)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest

from suspirium.practice.known import known_as
from suspirium.practice.model import Trace
from suspirium.practice.parts import Ladder, ladder
from suspirium.practice.readiness import night, practise, readiness, start, visit
from suspirium.practice.settings import learning
from suspirium.practice.week import plan_week
from tests.unit.practice.build import hymn, passage

HOW = learning()
STEPS = ladder(passage(), "all", HOW)
TUNE = ladder(passage(hardness=0), "manuals", HOW)  # one part only


def ready_after(
    visits: Sequence[int], rest: int = 1, known: str = "new", steps: Ladder = STEPS
) -> float:
    """Readiness of the whole after so many visits on each day and `rest` nights."""
    state = start(steps, known_as(known, passage(), "all", HOW))
    for count in visits:
        for _ in range(count):
            state, _ = visit(steps, state, HOW)
        state = night(state, HOW)
    state = night(state, HOW, rest - 1)
    return float(readiness(steps, state)[0, steps.whole])


@pytest.mark.parametrize("known", ["new", "seen", "known"])
@pytest.mark.parametrize("count", [2, 4, 8])
def test_sessions_a_day_apart_bring_more_than_one_after_another(known: str, count: int) -> None:
    """Simmons 2012 (doi 10.1177/0022429411424798): accuracy on one passage for one hand grew
    in the second session only where 24 hours lay between, not with 5 minutes or 6 hours."""
    massed = ready_after([0, count], known=known, steps=TUNE)
    spaced = ready_after([count // 2, count // 2], known=known, steps=TUNE)
    assert spaced > massed


def test_a_night_adds_to_what_was_learnt() -> None:
    """Walker et al. 2002 (Neuron, S0896-6273(02)00746-8): better after sleep, without practice;
    about 5 % once fatigue is accounted for (2015, PubMed 26483936)."""
    state, _ = practise(TUNE, start(TUNE, {}), HOW, minutes=4)
    before = readiness(TUNE, state)[0, 0]
    after = readiness(TUNE, night(state, HOW))[0, 0] * 2 ** (1 / HOW.first_days[0])
    assert after / before == pytest.approx(1.05)


def test_mixed_practice_is_kept_better_than_blocks() -> None:
    """Czyz et al. 2024 (PMC11237090): retention is better after interleaved practice."""
    blocked = mixed = start(STEPS, known_as("seen", passage(), "all", HOW))
    for number in range(4):
        mixed, _ = visit(STEPS, mixed, HOW)
        blocked, _ = visit(STEPS, blocked, HOW, blocked=number > 0)
    kept = [readiness(STEPS, night(one, HOW, 7))[0, STEPS.whole] for one in (mixed, blocked)]
    assert kept[0] > kept[1]


def test_a_second_similar_tune_costs_the_nights_gain() -> None:
    """Overnight gains of musicians, n = 60 (doi 10.1177/0305735612463947): learning a second,
    similar melody afterwards cancels them. So two such hymns begin on different evenings."""
    alike = [
        hymn("First", alike=frozenset({1})),
        hymn("Second", alike=frozenset({0})),
    ]
    week = plan_week(alike, {0: 16, 1: 16, 2: 16, 3: 16}, 4)
    begun = [min(d.day for d in week.days for task in d.tasks if task.hymn == h) for h in (0, 1)]
    assert begun[0] != begun[1]
    assert sorted(begun) == [0, 1]
    state, _ = visit(STEPS, start(STEPS, alike[0].known[0]), HOW)
    alone, disturbed = night(state, HOW), night(state, HOW, gain=HOW.alike_gain)
    assert (readiness(STEPS, alone) >= readiness(STEPS, disturbed)).all()
    assert readiness(STEPS, alone).max() > readiness(STEPS, disturbed).max()


def test_the_curve_of_practice_is_exponential() -> None:
    """Heathcote, Brown & Mewhort 2000 (doi 10.3758/BF03212979): single learners' curves are
    exponential: what is left to learn shrinks by the same factor each time."""
    state = start(TUNE, {("tune",): Trace(0.6, 3)})
    left = []
    for _ in range(6):
        state, step = practise(TUNE, state, HOW, minutes=1)
        left.append((HOW.day_share - state.fast[0, 0], step.repetitions[0]))
    falls = [np.log(later / earlier) / often for (earlier, _), (later, often) in pairwise(left)]
    assert falls == pytest.approx([falls[0]] * len(falls))
    assert falls[0] < 0


def test_half_of_a_settled_skill_is_kept_for_six_and_a_half_months() -> None:
    """Tatel & Ackerman, Procedural skill retention and decay (doi 10.1037/bul0000481): half of
    the gain in accuracy is lost after 6.5 months. The fractions are of an exponential."""
    state = start(TUNE, {("tune",): Trace(1.0, 3)})
    for days, kept in ((7, 0.98), (30, 0.90), (90, 0.73), (180, 0.53), (198, 0.5), (365, 0.28)):
        assert readiness(TUNE, night(state, HOW, days))[0, 0] == pytest.approx(kept, abs=0.006)


def test_longer_unplayed_is_riskier() -> None:
    """Arthur, Bennett, Stanush & McNelly 1998: the longer the interval the greater the loss."""
    kept = [ready_after([2, 2, 2], rest=days) for days in (1, 7, 30, 90, 365)]
    assert kept == sorted(kept, reverse=True)
    assert kept[0] - kept[-1] > 0.1


def test_retention_needs_more_than_one_good_day() -> None:
    """Common practice: four short evenings last better than one long one."""
    assert ready_after([2, 2, 2, 2], rest=7) > ready_after([0, 0, 0, 8], rest=7)
