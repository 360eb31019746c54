"""What of a take is marked in the score, and in which words."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest
from lxml import etree

from suspirium.desk.planning import plan_file
from suspirium.plan.model import LeadingPlan
from suspirium.render.take_places import Spot, spots
from suspirium.render.take_score import marked_take
from suspirium.render.take_text import take_text
from suspirium.render.take_words import beats, drift, note_names, times, together
from suspirium.take.listen import listen
from suspirium.take.model import Take
from suspirium.take.report import NoteFault, TakeReport
from tests.conftest import PARISH
from tests.playing import Playing, play


@cache
def plan() -> LeadingPlan:
    return plan_file(PARISH / "fallowmere.abc")


def heard(how: Playing) -> TakeReport:
    return listen(plan(), Take(tuple(play(plan(), how).notes)))


def said(report: TakeReport) -> set[tuple[str, str, int]]:
    lines = {phrase.last_onset_q: phrase.number for phrase in plan().phrases}
    return {(s.stanzas, s.text, lines.get(s.onset_q, 0)) for s in spots(report, plan())}


def test_line_ends_and_gaps_stand_where_they_happened() -> None:
    report = heard(
        Playing(
            seed=2,
            added={(0, 1): 1.0, (1, 2): -0.5},
            no_lift=frozenset({(0, 0), (2, 0)}),
            gap_added_s={1: 0.6},
        )
    )
    found = said(report)
    assert ("1", "1 beat added", 2) in found
    assert ("2", "½ beat lost", 3) in found
    assert ("1, 3", "lift too short (0.0 s)", 1) in found
    assert ("2", "gap 0.6 s longer than the other", 4) in found


def test_the_same_fault_in_several_stanzas_is_one_spot() -> None:
    report = heard(Playing(seed=3, errors=0.08))
    found = spots(report, plan())
    notes = [spot for spot in found if spot.sign != "line"]
    assert len(notes) == len({(s.onset_q, s.voice, s.sign, s.text) for s in notes})
    shown = sum(len(spot.stanzas.replace("–", ", ").split(", ")) for spot in notes)
    assert shown <= len(report.faults)
    assert {spot.sign for spot in notes} == {fault.kind for fault in report.faults}


def test_a_line_played_three_times_is_said_once() -> None:
    report = heard(Playing(seed=1, again={(0, 1): 2}))
    assert "Line 2 of stanza 1 was played three times." in take_text(report)
    assert [s for s in spots(report, plan()) if s.text == "from here three times"] == [
        Spot(plan().phrases[1].first_onset_q, "", None, "line", "1", "from here three times")
    ]


def test_words_stand_clear_of_each_other_and_of_the_music() -> None:
    report = heard(Playing(seed=3, errors=0.08, no_lift=frozenset({(0, 0), (1, 0), (2, 1)})))
    marked = marked_take(report, plan(), width_mm=190, height_mm=248)
    assert marked is not None
    assert marked.height_mm <= 248
    words = 0
    for system in marked.systems:
        etree.fromstring(system.svg)
        placed = [box for box in system.boxes if box.kind == "place"]
        words += len(placed)
        for index, box in enumerate(placed):
            for other in placed[index + 1 :]:
                assert not box.overlaps(other, slack=1.0), (box, other)
            assert not any(
                box.overlaps(drawn, slack=1.0) for drawn in system.boxes if drawn.kind == "notehead"
            )
    assert words == 2 * len(spots(report, plan()))


def test_rings_stand_around_the_notes_that_are_meant() -> None:
    report = heard(Playing(seed=3, errors=0.08))
    marked = marked_take(report, plan(), width_mm=190, height_mm=248)
    assert marked is not None
    rings = [box for system in marked.systems for box in system.boxes if box.kind == "ring"]
    meant = [spot for spot in spots(report, plan()) if spot.sign in ("wrong", "missing")]
    assert len(rings) == len(meant)
    for system in marked.systems:
        heads = [box for box in system.boxes if box.kind == "notehead"]
        for ring in (box for box in system.boxes if box.kind == "ring"):
            assert any(
                ring.x0 < head.x0 and head.x1 < ring.x1 and ring.y0 < head.y0 and head.y1 < ring.y1
                for head in heads
            )


@pytest.mark.parametrize(
    ("value", "words"), [(0.5, "½ beat"), (1.0, "1 beat"), (1.8, "1¾ beats"), (0.1, "¼ beat")]
)
def test_beats_in_words(value: float, words: str) -> None:
    assert beats(value) == words


def test_other_figures_in_words() -> None:
    assert [drift(p) for p in (0.2, 3.4, -2.6)] == [
        "even",
        "quickens 3 %",
        "slows 3 %",
    ]
    assert [times(n) for n in (2, 3, 12)] == ["twice", "three times", "12 times"]


def test_an_octave_is_named_only_where_it_is_the_difference() -> None:
    fault = NoteFault("wrong", 1, 2, Fraction(4), "alto", 60, 61, "C4", "C♯4")
    assert note_names(fault) == ("C♯", "C")
    assert note_names(replace(fault, played_name="C5")) == ("C5", "C4")


def test_what_stanzas_share_is_said_once() -> None:
    why = "the melody's note there was not played"
    texts = [f"the end of line 2 in stanza {n}: {why}" for n in (1, 2, 3, 5)]
    said = list(together([*texts, "notes of the alto: not played"]))
    assert said == [
        f"the end of line 2 in stanzas 1–3, 5: {why}",
        "notes of the alto: not played",
    ]
    assert list(together(texts[:1])) == texts[:1]
