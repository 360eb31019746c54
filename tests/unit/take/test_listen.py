"""Takes of an invented player, whose every deviation is known, measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from statistics import median, stdev

import pytest

from suspirium.desk.planning import plan_file
from suspirium.errors import TakeError
from suspirium.plan.build import plan_hymn
from suspirium.plan.clock import stanza_clock
from suspirium.plan.model import LeadingPlan
from suspirium.plan.overrides import read_overrides
from suspirium.take.listen import listen
from suspirium.take.model import Take, TakeNote
from suspirium.take.report import TakeReport
from tests.conftest import PARISH
from tests.playing import Playing, matched_f1, play

NAMES = ("fallowmere", "netherwick", "osmerley", "quillerby")


@cache
def plan_of(name: str) -> LeadingPlan:
    return plan_file(PARISH / f"{name}.abc")


def lines(plan: LeadingPlan) -> int:
    return len(stanza_clock(plan, 1, last=False).phrase_ends)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", range(3))
def test_each_note_finds_its_key(name: str, seed: int) -> None:
    plan = plan_of(name)
    played = play(plan, Playing(seed=seed, errors=0.02, drift=0.04))
    assert matched_f1(plan, played) >= 0.99


@pytest.mark.parametrize("name", NAMES)
def test_beats_added_and_lost_are_found_and_nothing_else(name: str) -> None:
    plan = plan_of(name)
    added = {(0, 0): 1.0, (1, 1): 0.5, (2, 0): -0.5}
    report = listen(plan, Take(tuple(play(plan, Playing(seed=7, added=added)).notes)))
    for end in report.line_ends:
        true_q = added.get((end.stanza - 1, end.phrase - 1), 0.0)
        assert end.added_q == pytest.approx(true_q, abs=0.2), end
        assert end.confidence > 0.7, end


@pytest.mark.parametrize("name", NAMES)
def test_holds_silences_and_gaps_are_those_played(name: str) -> None:
    plan = plan_of(name)
    played = play(plan, Playing(seed=3, gap_added_s={0: 0.4}))
    report = listen(plan, Take(tuple(played.notes)))
    for end in report.line_ends:
        assert end.hold_s == pytest.approx(
            played.ends[end.stanza - 1, end.phrase - 1].hold_s, abs=1e-9
        )
    assert [gap.after_stanza for gap in report.gaps] == [1, 2]
    for gap in report.gaps:
        onset_s, silence_s = played.gaps[gap.after_stanza - 1]
        assert gap.onset_to_onset_s == pytest.approx(onset_s, abs=0.03)
        assert gap.silence_s == pytest.approx(silence_s, abs=0.03)


@pytest.mark.parametrize("name", NAMES)
def test_introductions_repeats_transposition_and_late_beginnings(name: str) -> None:
    plan = plan_of(name)
    last = lines(plan) - 1
    cases = [
        (Playing(introduction=(last,)), True, 0),
        (Playing(introduction=(0, last)), True, 0),
        (Playing(again={(0, 1): 2}), False, 2),
        (Playing(transposed=-2), False, 0),
        (Playing(begin_phrase=1), False, 0),
    ]
    for how, introduced, again in cases:
        report = listen(plan, Take(tuple(play(plan, how).notes)))
        assert report.stanzas_found == len(plan.stanza_numbers), how
        assert report.introduction_found is introduced, how
        assert len(report.restarts) == again, how
        assert report.transposed_semitones == how.transposed
        assert report.line_ends


def test_another_hymn_is_told_and_not_measured() -> None:
    take = Take(tuple(play(plan_of("fallowmere"), Playing()).notes))
    for other in NAMES[1:]:
        with pytest.raises(TakeError, match="is not"):
            listen(plan_of(other), take)


@pytest.mark.parametrize("name", NAMES)
def test_one_chord_over_and_over_is_no_hymn(name: str) -> None:
    plan = plan_of(name)
    first = [note for note in play(plan, Playing()).notes if note.onset_s < 0.1]
    take = [
        replace(n, onset_s=n.onset_s + beat, release_s=n.onset_s + beat + 0.8)
        for beat in range(30)
        for n in first
    ]
    with pytest.raises(TakeError, match="is not"):
        listen(plan, Take(tuple(take)))


def test_an_hour_of_one_hymn_is_measured_and_one_of_another_refused_at_once() -> None:
    """A long take is judged by stretches of it: the right key is still found."""
    plan, other = plan_of("fallowmere"), plan_of("quillerby")
    once = play(plan, Playing(seed=3, errors=0.02, transposed=2)).notes
    again_s = once[-1].release_s + 3
    take = Take(
        tuple(
            replace(n, onset_s=n.onset_s + again_s * i, release_s=n.release_s + again_s * i)
            for i in range(12)
            for n in once
        )
    )
    assert len(take.notes) > 3000
    report = listen(plan, take)
    assert report.stanzas_found + report.introduction_found == 36
    assert report.transposed_semitones == 2
    with pytest.raises(TakeError, match="is not"):
        listen(other, take)


def test_the_tempo_is_the_one_played_and_drift_has_its_sign() -> None:
    plan = plan_of("fallowmere")
    even = listen(plan, Take(tuple(play(plan, Playing(speed=0.8)).notes)))
    planned = plan.tempo.value.quarter_bpm
    for tempo in even.tempos:
        assert tempo.quarter_bpm == pytest.approx(0.8 * planned, rel=0.01)
        assert abs(tempo.drift_percent) < 3
    assert any("slower than planned" in text for text in even.advice)
    slowing = listen(plan, Take(tuple(play(plan, Playing(drift=0.15)).notes)))
    assert median(tempo.drift_percent for tempo in slowing.tempos) < -10
    assert any("slowed" in text for text in slowing.advice)


def test_a_broadening_that_is_planned_is_no_drift_and_no_beat_added() -> None:
    hymn = plan_of("fallowmere").hymn
    plan = plan_hymn(hymn, overrides=read_overrides("[ending]\nbroaden = 0.1"))
    report = listen(plan, Take(tuple(play(plan, Playing(seed=1)).notes)))
    assert all(abs(tempo.drift_percent) < 2 for tempo in report.tempos)
    assert all(abs(end.added_q) < 0.2 for end in report.line_ends)
    assert max(abs(point.late_s) for point in report.pulse) < 0.06
    assert report.advice == ()
    straight = plan_of("fallowmere")
    hurried = listen(plan, Take(tuple(play(straight, Playing(seed=1)).notes)))
    assert hurried.tempos[-1].drift_percent > 4


def test_an_uneven_pulse_is_said_and_never_praised() -> None:
    plan = plan_of("fallowmere")
    uneven = listen(plan, Take(tuple(play(plan, Playing(seed=2, chord_jitter_s=0.04)).notes)))
    assert max(t.steadiness_percent for t in uneven.tempos) > 5
    assert any(text.startswith("Keep the pulse even") for text in uneven.advice)
    assert not any("pulse was kept" in text for text in uneven.praise)
    even = listen(plan, Take(tuple(play(plan, Playing(seed=2)).notes)))
    assert any("pulse was kept" in text for text in even.praise)


def test_what_happened_in_every_stanza_is_said_of_every_stanza() -> None:
    plan = plan_of("fallowmere")
    report = listen(plan, Take(tuple(play(plan, Playing(drift=0.15)).notes)))
    assert any("stanzas 1, 2 and 3 moving: they slowed" in text for text in report.advice)


def test_lengths_are_told_in_beats_of_the_tempo_played() -> None:
    plan = plan_of("fallowmere")
    slow = listen(plan, Take(tuple(play(plan, Playing(seed=2, speed=0.8)).notes)))
    assert slow.planned_tempo is not None
    assert slow.planned_tempo.quarter_bpm == plan.tempo.value.quarter_bpm
    for end in slow.line_ends:
        planned_q = end.planned_hold_s * slow.planned_tempo.quarter_bpm / 60
        assert end.hold_s / end.quarter_s == pytest.approx(planned_q, abs=0.1)


def test_a_missing_lift_is_the_advice() -> None:
    plan = plan_of("fallowmere")
    report = listen(
        plan, Take(tuple(play(plan, Playing(no_lift=frozenset({(0, 0), (1, 0)}))).notes))
    )
    assert report.advice[0].startswith("Lift sooner at the end of line 1")
    assert "there was no breath in stanzas 1 and 2" in report.advice[0]


def test_a_faultless_take_is_praised_and_nothing_advised() -> None:
    plan = plan_of("netherwick")
    report = listen(plan, Take(tuple(play(plan, Playing()).notes)))
    assert report.advice == ()
    assert len(report.praise) >= 3
    assert not report.faults


def test_wrong_missing_and_extra_notes_have_their_places() -> None:
    plan = plan_of("quillerby")
    played = play(plan, Playing(seed=11, errors=0.03))
    report = listen(plan, Take(tuple(played.notes)))
    lost = {name for name in played.missing if name not in set(played.names)}
    told = [fault for fault in report.faults if fault.kind in ("wrong", "missing")]
    assert len(told) == len(lost)
    assert all(isinstance(fault.onset_q, Fraction) and fault.measure >= 0 for fault in told)


def test_after_an_added_beat_the_pulse_begins_anew() -> None:
    """One added beat is one fault: the pulses before and after it are neither early nor late."""
    plan = plan_of("fallowmere")
    report = listen(plan, Take(tuple(play(plan, Playing(seed=5, added={(1, 2): 0.8})).notes)))
    late = [abs(point.late_s) for point in report.pulse if point.stanza == 2]
    assert len(late) > 10
    assert max(late) < 0.06


def test_errors_are_as_large_as_what_comes_by_chance() -> None:
    """The same playing twenty times over: figures scatter as much as their errors say."""
    plan = plan_of("fallowmere")
    how = Playing(stanzas=1, wobble=0.0, chord_jitter_s=0.012)
    reports = [
        listen(plan, Take(tuple(play(plan, replace(how, seed=seed)).notes))) for seed in range(20)
    ]
    tempos = [report.tempos[0] for report in reports]
    for scatter, error in (
        (stdev(t.drift_percent for t in tempos), median(t.drift_error_percent for t in tempos)),
        (
            stdev(t.steadiness_percent for t in tempos),
            median(t.steadiness_error_percent for t in tempos),
        ),
    ):
        assert error / 3 < scatter < 3 * error
    assert all(end.sounded_error_s < 0.005 for report in reports for end in report.line_ends)
    later = listen(plan, Take(tuple(play(plan, Playing(seed=1)).notes)))
    assert all(0 < gap.error_s < 0.01 for gap in later.gaps)
    assert all(touch.error_s <= touch.spread_s * 1.26 for touch in later.touches)


def touched(change: Callable[[TakeNote], TakeNote]) -> TakeReport:
    plan = plan_of("fallowmere")
    notes = [change(note) for note in play(plan, Playing(seed=2)).notes]
    return listen(plan, Take(tuple(sorted(notes, key=lambda note: (note.onset_s, note.midi)))))


def test_a_pedal_that_lags_is_said_and_one_that_does_not_is_praised() -> None:
    late = touched(lambda n: replace(n, onset_s=n.onset_s + 0.08) if n.channel else n)
    measured = {touch.kind: touch.played_s for touch in late.touches}
    assert measured["bass_after_melody"] == pytest.approx(0.08, abs=0.01)
    assert any(text.startswith("Put the pedal down with the hands") for text in late.advice)
    together = touched(lambda note: note)
    assert any("Hands and pedal came together" in text for text in together.praise)
    assert not any("together" in text for text in (*together.advice, *late.praise))


def test_notes_that_are_cut_short_are_to_be_joined() -> None:
    short = touched(lambda n: replace(n, release_s=max(n.onset_s + 0.1, n.release_s - 0.12)))
    assert any(text.startswith("Join the melody's notes") for text in short.advice)
