"""A take's report as readiness by passage."""

from __future__ import annotations

from pathlib import Path

import pytest

from suspirium.desk.planning import plan_file
from suspirium.plan.performance import perform
from suspirium.practice.measured import heard_ready
from suspirium.practice.passages import passages_of
from suspirium.render.midi import write_midi
from suspirium.take.listen import listen
from suspirium.take.midi import read_take
from suspirium.technique import find_technique
from tests.conftest import PARISH

PLAN = plan_file(Path(PARISH / "osmerley.abc"))
PASSAGES = passages_of(PLAN, find_technique(PLAN))
GOAL = PLAN.tempo.value.quarter_bpm


def heard(bpm: float, voices: tuple[str, ...] | None = None) -> list[float]:
    performance = perform(PLAN, quarter_bpm=bpm, voices=voices)
    report = listen(PLAN, read_take(write_midi(PLAN, performance)))
    return [ready for _, _, ready in heard_ready(report, PASSAGES, GOAL)]


def test_a_clean_take_at_the_goal_tempo_is_nearly_ready() -> None:
    stanzas = len(PLAN.stanza_numbers)
    assert heard(GOAL) == pytest.approx([(stanzas + 0.5) / (stanzas + 1)] * 2, rel=0.02)


def test_a_slow_take_is_ready_as_far_as_its_tempo() -> None:
    assert heard(0.6 * GOAL) == pytest.approx([0.6 * x for x in heard(GOAL)], rel=0.02)


def test_some_voices_alone_do_not_tell_how_ready_the_whole_is() -> None:
    assert heard(GOAL, ("soprano", "bass")) == []


def test_passages_are_the_lines_in_order_and_whole() -> None:
    phrases = [(p.first_phrase, p.last_phrase) for p in PASSAGES]
    assert phrases == [(1, 2), (3, 4)]
    assert all(p.seconds > 0 and min(p.demand.values()) >= 0 for p in PASSAGES)
    assert any("pickup" in text for text in PASSAGES[0].mind)
    assert any("gap" in text for text in PASSAGES[-1].mind)
