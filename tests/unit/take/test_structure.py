"""What a take is put together from: lines played again, introductions, interludes - also where
two lines of the hymn are alike and only times tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from suspirium.desk.planning import plan_file
from suspirium.plan.model import LeadingPlan
from suspirium.take.listen import listen
from suspirium.take.match import match
from suspirium.take.model import Take, TakeNote
from suspirium.take.report import TakeReport
from tests.conftest import PARISH
from tests.playing import Playing, matched_f1, play

Piece = tuple[int, int, float]  # first and last line, and quarters until the next piece begins


@pytest.fixture(scope="module")
def plan() -> LeadingPlan:
    return plan_file(PARISH / "fallowmere.abc")


@pytest.fixture(scope="module")
def alike(tmp_path_factory: pytest.TempPathFactory) -> LeadingPlan:
    """A hymn of three stanzas whose first two lines have the same notes."""
    text = (PARISH / "fallowmere.abc").read_text("utf-8")
    head, *lines = text.split("[V: S]")
    lines[1] = lines[0].replace("lamps", "lanterns")
    path: Path = tmp_path_factory.mktemp("alike") / "alike.abc"
    path.write_text("[V: S]".join((head, *lines)).replace("1.~", "").replace("2.~", ""))
    return plan_file(path)


def put_together(plan: LeadingPlan, pieces: Sequence[Piece]) -> list[TakeNote]:
    """Stretches of lines of a stanza, one after another."""
    played = play(plan, Playing(seed=4, stanzas=1))
    ends = [phrase.end_q for phrase in plan.phrases]
    quarter_s = 60 / plan.tempo.value.quarter_bpm
    found: list[TakeNote] = []
    at_s = 0.0
    for first, last, until_q in pieces:
        own = [
            note
            for note, name in zip(played.notes, played.names, strict=True)
            if name is not None
            and first <= sum(Fraction(str(name[1])) >= end for end in ends[:-1]) <= last
        ]
        begins_s = min(note.onset_s for note in own)
        by_s = at_s - begins_s
        found += [
            replace(note, onset_s=note.onset_s + by_s, release_s=note.release_s + by_s)
            for note in own
        ]
        at_s = max(note.onset_s for note in own) + by_s + until_q * quarter_s
    return found


def heard(plan: LeadingPlan, pieces: Sequence[Piece]) -> TakeReport:
    return listen(plan, Take(tuple(put_together(plan, pieces))))


def gap_q(plan: LeadingPlan) -> float:
    return float(plan.gap.value.onset_to_onset_q)


@pytest.mark.parametrize("times", [1, 2, 3])
def test_a_line_like_the_one_before_it_played_again_is_no_introduction(
    alike: LeadingPlan, times: int
) -> None:
    played = play(alike, Playing(seed=times, errors=0.01, again={(0, 1): times}))
    report = listen(alike, Take(tuple(played.notes)))
    assert not report.introduction_found
    assert report.stanzas_found == len(alike.stanza_numbers)
    assert len(report.restarts) == times
    played.names = [name if name and name[0] >= 0 else None for name in played.names]
    assert matched_f1(alike, played) > 0.99


def test_lines_alike_before_the_stanza_are_an_introduction(alike: LeadingPlan) -> None:
    gap = gap_q(alike)
    report = heard(alike, [(0, 1, gap), (0, 3, gap), (0, 3, gap)])
    assert (report.introduction_found, report.stanzas_found) == (True, 2)
    assert report.restarts == ()


def test_half_a_stanza_is_begun_again_after_a_stop_and_introduces_after_the_gap(
    plan: LeadingPlan,
) -> None:
    gap = gap_q(plan)
    for until_q, introduced in ((gap, True), (3 * gap, False)):
        report = heard(plan, [(0, 1, until_q), (0, 3, gap), (0, 3, gap), (0, 3, gap)])
        assert report.introduction_found is introduced
        assert len(report.restarts) == (not introduced)
        assert report.stanzas_found == 3


def test_the_last_line_again_is_an_interlude_in_time_and_begun_again_after_a_stop(
    plan: LeadingPlan,
) -> None:
    gap = gap_q(plan)
    for until_q, between in ((gap, True), (3 * gap, False)):
        report = heard(plan, [(0, 3, until_q), (3, 3, gap), (0, 3, gap), (0, 3, gap)])
        assert report.stanzas_found == 3
        assert len(report.restarts) == (not between)
        assert any("gap after stanza 1" in text for text in report.not_measured) is between


def test_the_last_line_again_at_the_end_is_no_interlude(plan: LeadingPlan) -> None:
    gap = gap_q(plan)
    report = heard(plan, [(0, 3, gap), (0, 3, 2 * gap), (3, 3, gap)])
    assert (report.stanzas_found, len(report.restarts)) == (2, 1)


def test_a_planned_introduction_is_likelier_than_another(plan: LeadingPlan) -> None:
    """The last two lines, then one stanza fewer than planned: what the plan says decides."""
    gap = gap_q(plan)
    take = Take(tuple(put_together(plan, [(1, 3, gap), (0, 3, gap), (0, 3, gap)])))
    assert match(plan, take).introduction is None
    planned = [(plan.phrases[1].first_onset_q, plan.phrases[3].last_onset_q)]
    found = match(plan, take, planned)
    assert found.introduction is not None
    assert len(found.stanzas) == 2


def test_where_both_are_about_as_likely_the_report_says_so(plan: LeadingPlan) -> None:
    gap = gap_q(plan)
    pieces = [(3, 3, gap), (0, 3, gap), (0, 3, gap)]
    said = [text for text in heard(plan, pieces).remarks if "introduction" in text]
    assert len(said) == 1
    planned = [(plan.phrases[3].first_onset_q, plan.phrases[3].last_onset_q)]
    sure = listen(plan, Take(tuple(put_together(plan, pieces))), planned)
    assert sure.introduction_found
    assert sure.remarks == ()
    assert heard(plan, [(0, 3, gap), (0, 3, gap), (0, 3, gap)]).remarks == ()


@pytest.mark.parametrize("pickup", ["C", "F"])
def test_a_stanza_that_loses_its_last_note_is_a_stanza(tmp_path: Path, pickup: str) -> None:
    """Of one voice alone, also where the next stanza begins with the note that was lost."""
    score = tmp_path / "pickup.abc"
    text = (PARISH / "fallowmere.abc").read_text("utf-8")
    score.write_text(text.replace("[V: S] C |", f"[V: S] {pickup} |"))
    plan = plan_file(score)
    played = play(plan, Playing(seed=3, voices=frozenset(["soprano"])))
    last = max(Fraction(str(key[1])) for key in played.names if key is not None)
    kept = [
        note
        for note, key in zip(played.notes, played.names, strict=True)
        if key is None or (key[0], Fraction(str(key[1]))) != (1, last)
    ]
    report = listen(plan, Take(tuple(kept)))
    assert report.stanzas_found == len(plan.stanza_numbers)
    assert (report.introduction_found, report.restarts) == (False, ())
