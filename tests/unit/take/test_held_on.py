"""Line ends where another voice holds the melody's key on: their lift is not told."""

from __future__ import annotations

from math import isfinite, isnan

from suspirium.plan.build import plan_hymn
from suspirium.plan.clock import stanza_clock
from suspirium.plan.model import LeadingPlan
from suspirium.plan.overrides import read_overrides
from suspirium.take.held_on import held_on
from suspirium.take.listen import listen
from suspirium.take.model import Take
from suspirium.take.report import TakeReport
from tests.build import four_part
from tests.playing import Playing, play

TWO_LINES = read_overrides("phrase_ends_q = [6]")
SOPRANO = "E F G A | F2 E2 | G A G F | E4 |]"


def plan_with(alto: str) -> LeadingPlan:
    """Two lines; the melody's first ends on its e' in measure 2."""
    hymn = four_part(
        SOPRANO,
        alto,
        "G, A, B, C | A,2 G,2 | B, C B, A, | G,4 |]",
        "C, F, G, F, | F,2 C,2 | G, F, G, G, | C,4 |]",
    )
    return plan_hymn(hymn, overrides=TWO_LINES)


APART = "C C D F | C2 C2 | D F D D | C4 |]"
ON_ONE_KEY = "C C D F | C2 E2 | D F D D | C4 |]"
HELD_ON = "C C D F | C2 E2- | E F D D | C4 |]"


def heard(plan: LeadingPlan, voices: frozenset[str] | None = None) -> TakeReport:
    return listen(plan, Take(tuple(play(plan, Playing(seed=3, voices=voices)).notes)))


def test_a_key_held_on_by_the_alto_is_found_and_no_other() -> None:
    for alto, expected in ((APART, {}), (ON_ONE_KEY, {}), (HELD_ON, {0: ("alto",)})):
        plan = plan_with(alto)
        assert held_on(plan, stanza_clock(plan, 1, last=False)) == expected


def test_its_lift_is_left_out_with_the_reason_and_never_a_fault() -> None:
    report = heard(plan_with(HELD_ON))
    (end,) = report.line_ends
    assert isnan(end.hold_s)
    assert isnan(end.silence_s)
    assert abs(end.added_q) < 0.25
    assert end.confidence > 0.7
    assert any("line 1 in stanza 1" in text and "alto" in text for text in report.not_measured)
    assert not any("ift" in text for text in report.advice)


def test_the_melody_alone_has_the_key_for_itself() -> None:
    report = heard(plan_with(HELD_ON), frozenset({"soprano"}))
    assert isfinite(report.line_ends[0].silence_s)
    assert isfinite(heard(plan_with(APART)).line_ends[0].silence_s)
