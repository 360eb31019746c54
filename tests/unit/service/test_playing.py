"""A hymn as it is played in a service: introduction, gap, stanzas, amen."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from suspirium.errors import ServiceError
from suspirium.plan.build import plan_hymn
from suspirium.plan.performance import perform
from suspirium.score.reading import read
from suspirium.score.sounding import bar_onset_q
from suspirium.service.amen import amen_of
from suspirium.service.introductions import propose_introductions
from suspirium.service.opening import opening_of
from suspirium.service.order import HymnMoment
from suspirium.service.playing import AMEN, INTRODUCTION, play
from suspirium.service.served import serve
from suspirium.units import quarters_to_seconds
from tests.build import four_part, hymn
from tests.conftest import PARISH

PLANS = {path.stem: plan_hymn(read(path.read_bytes(), path.name)) for path in PARISH.glob("*.abc")}
CASES = [(name, number) for name, plan in PLANS.items() for number in range(3)]


@pytest.fixture(params=PLANS, ids=str)
def plan(request):
    return PLANS[request.param]


def test_every_introduction_is_heard_as_written(plan) -> None:
    """Its keys are those of the stanza at the same places, none else, each as often."""
    stanza = [key for key in perform(plan).keys if key.stanza == plan.stanza_numbers[0]]
    for introduction in propose_introductions(plan):
        opening = opening_of(plan, introduction)
        asked = sorted(
            (key.written_q, key.midi)
            for piece in introduction.pieces
            for key in stanza
            if piece.first_onset_q <= key.written_q < piece.end_q
        )
        heard = sorted((key.written_q, key.midi) for key in opening.keys)
        assert set(asked) <= set(heard)
        assert len(heard) - len(asked) <= 3  # what a line before holds over is struck
        assert all(key.release_q > key.onset_q for key in opening.keys)


def test_after_it_comes_the_same_silence_and_the_metre_goes_on(plan) -> None:
    gap = plan.gap.value
    unit_q = plan.pulse.value.unit_q
    for introduction in propose_introductions(plan):
        opening = opening_of(plan, introduction)
        assert opening.joint.silence_q == gap.silence_q
        last = max(key.release_q for key in opening.keys)
        assert opening.length_q - last == gap.silence_q
        # pulses are a pulse apart, and the hymn's own go on with them
        at_hymn_q = opening.length_q + plan.hymn.pickup_q % unit_q
        assert all(after - before == unit_q for before, after in pairwise(opening.pulses_q))
        assert (at_hymn_q - opening.pulses_q[0]) % unit_q == 0


def test_pieces_join_in_the_metre(plan) -> None:
    hymn_ = plan.hymn
    for introduction in propose_introductions(plan):
        if len(introduction.pieces) == 1:
            continue
        opening = opening_of(plan, introduction)
        first, second = introduction.pieces
        one = next(k for k in opening.keys if k.written_q == first.first_onset_q)
        other = next(k for k in opening.keys if k.written_q == second.first_onset_q)
        time = hymn_.times[0].time
        assert time is not None
        place = first.first_onset_q - bar_onset_q(hymn_, first.first_onset_q)
        later = second.first_onset_q - bar_onset_q(hymn_, second.first_onset_q)
        assert (other.onset_q - one.onset_q - (later - place)) % time.bar_q == 0


def test_parts_follow_each_other_with_equal_gaps(plan) -> None:
    introduction = propose_introductions(plan)[0]
    played = play(plan, plan.stanza_numbers, introduction, None)
    assert [part.name for part in played.parts] == [
        "introduction",
        *(f"stanza {n}" for n in plan.stanza_numbers),
    ]
    gap_s = plan.gap.value.silence_s
    assert played.gaps_s == pytest.approx([gap_s] * len(plan.stanza_numbers), abs=1e-6)
    assert played.seconds == played.performance.duration_s
    alone = play(plan, plan.stanza_numbers, None, None)
    assert alone.performance == perform(plan)


def test_the_stanzas_asked_for_are_played_in_their_order(plan) -> None:
    played = play(plan, (2, 1), None, None)
    assert [part.name for part in played.parts] == ["stanza 2", "stanza 1"]
    assert next(key.stanza for key in played.performance.keys) == 2


def test_a_plagal_cadence_in_the_key() -> None:
    """G major: C chord, then G; the root lies still (common practice)."""
    plan = PLANS["netherwick"]
    amen = amen_of(plan)
    assert amen is not None
    assert [str(pitch) for pitch in amen.subdominant] == ["G4", "E4", "C4", "C3"]
    assert [str(pitch) for pitch in amen.tonic] == ["G4", "D4", "B3", "G3"]


def test_voices_of_an_amen_move_by_step_and_are_triads(plan) -> None:
    amen = amen_of(plan)
    assert amen is not None
    root = amen.tonic[-1].midi
    assert {(p.midi - root) % 12 for p in amen.subdominant} == {0, 5, 9}
    for high, low in zip(amen.subdominant[:-1], amen.tonic[:-1], strict=True):
        steps = high.diatonic - low.diatonic
        assert steps in (0, 1, -2)
        assert high.midi - low.midi in {0: (0,), 1: (1, 2), -2: (-3, -4)}[steps]
    assert amen.subdominant[-1].midi % 12 == (root + 5) % 12


def test_a_minor_hymn_ends_with_the_minor_sixth() -> None:
    plan = plan_hymn(
        four_part(
            "A2 B2 | c2 B2 | A4 |]",
            "E2 E2 | E2 D2 | E4 |]",
            "C2 ^G,2 | A,2 G,2 | C4 |]",
            "A,,2 E,2 | A,2 E,2 | A,,4 |]",
            key="Am",
        )
    )
    amen = amen_of(plan)
    assert amen is not None
    root = amen.tonic[-1].midi
    assert {(p.midi - root) % 12 for p in amen.subdominant} == {0, 5, 8}


def test_no_amen_without_a_chord() -> None:
    plan = PLANS["netherwick"]
    alone = plan_hymn(hymn("C D E F | G4 |]"))
    assert amen_of(alone) is None
    with pytest.raises(ServiceError, match="leave amen out"):
        serve(HymnMoment("alone", amen=True), alone, None)
    assert amen_of(plan) is not None


def test_the_amen_follows_on_the_pulse_after_a_silence(plan) -> None:
    amen = amen_of(plan)
    played = play(plan, plan.stanza_numbers, None, amen)
    keys = [key for key in played.performance.keys if key.stanza == AMEN]
    assert keys
    pulse_s = quarters_to_seconds(plan.pulse.value.unit_q, plan.tempo.value.quarter_bpm)
    wait_s = keys[0].onset_s - played.parts[-2].end_s
    assert plan.gap.value.silence_s - 1e-9 <= wait_s < plan.gap.value.silence_s + pulse_s
    assert not any(key.stanza == INTRODUCTION for key in played.performance.keys)
    by_key = {(key.division, key.midi) for key in keys}
    assert len(by_key) == len(keys)  # common tones are held on


def test_what_a_service_asks_and_a_hymn_has_not_is_told() -> None:
    plan = PLANS["fallowmere"]
    with pytest.raises(ServiceError, match="no stanza 9; it has 1, 2, 3"):
        serve(HymnMoment("x", stanzas=(9,)), plan, None)
    with pytest.raises(ServiceError, match="introductions to choose from, not 99"):
        serve(HymnMoment("x", introduction=99), plan, None)


def test_the_last_line_broadens_where_it_is_asked() -> None:
    plan = PLANS["fallowmere"]
    plain = serve(HymnMoment("x"), plan, None)
    broad = serve(HymnMoment("x", broaden=True), plan, None)
    assert broad.plan.ending.value.broaden > 0 == plain.plan.ending.value.broaden
    assert broad.plan.ending.value.hold_q == plain.plan.ending.value.hold_q
    assert broad.played.seconds > plain.played.seconds
    assert "broadens" in broad.plan.ending.reason
    assert plan.ending.value.broaden == 0


def test_a_hold_before_the_hymn_keeps_at_least_half_of_the_note(plan) -> None:
    for introduction in propose_introductions(plan):
        opening = opening_of(plan, introduction)
        last = next(
            p for p in plan.phrases if p.last_onset_q == introduction.pieces[-1].last_onset_q
        )
        assert opening.joint.hold_q >= last.written_q * Fraction(1, 2)
