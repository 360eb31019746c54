from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suspirium.plan.build import plan_hymn
from suspirium.plan.clock import stanza_clock
from suspirium.plan.model import LeadingPlan
from suspirium.plan.overrides import read_overrides
from suspirium.plan.performance import perform
from suspirium.room import Room
from suspirium.score.reading import read
from suspirium.units import quarters_to_seconds
from tests.build import four_part
from tests.conftest import PARISH

SCORES = sorted(PARISH.glob("*.abc"))


def _plan(path, **kwargs) -> LeadingPlan:
    return plan_hymn(read(path.read_bytes(), path.name), **kwargs)


@settings(deadline=None, max_examples=30)
@given(
    st.sampled_from(SCORES),
    st.floats(0.5, 6.0),
    st.integers(5, 800),
)
def test_lifts_add_no_beat(path, rt_s: float, singers: int) -> None:
    """The sum of all beats in a stanza is unchanged by lifts."""
    plan = _plan(path, room=Room(rt_s, 12.0), singers=singers)
    for phrase in plan.phrases[:-1]:
        assert phrase.hold_q + phrase.lift_q == phrase.written_q
        assert phrase.added_q == 0
        assert 0 <= phrase.stretch_q <= Fraction(1, 4)
    last = plan.phrases[-1]
    assert last.hold_q + last.lift_q == last.written_q + last.added_q
    for press in perform(plan, stanzas=[1]).keys:
        assert press.onset_q == press.written_q  # every onset keeps its written place


@settings(deadline=None, max_examples=20)
@given(st.sampled_from(SCORES), st.floats(40, 160))
def test_every_stanza_takes_the_same_time(path, bpm: float) -> None:
    plan = _plan(path)
    plan = replace(
        plan, tempo=replace(plan.tempo, value=replace(plan.tempo.value, quarter_bpm=bpm))
    )
    starts = perform(plan).stanza_starts_s
    stretched = [
        sum(p.stretch_q for p in plan.phrases[:-1] if p.breath(n) != "carry")
        for n in plan.stanza_numbers
    ]
    for n, (begin, end) in enumerate(pairwise(starts)):
        length_q = plan.phrases[-1].last_onset_q + plan.gap.value.onset_to_onset_q + stretched[n]
        assert end - begin == pytest.approx(quarters_to_seconds(length_q, bpm))


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_no_key_is_struck_while_it_is_down(path) -> None:
    held: dict[tuple[str, int], float] = {}
    for press in perform(_plan(path)).keys:
        key = press.division, press.midi
        assert press.release_s > press.onset_s
        assert press.onset_s >= held.get(key, -1.0) - 1e-9
        held[key] = press.release_s


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_a_full_lift_silences_the_organ(path) -> None:
    plan = _plan(path)
    performance = perform(plan)
    for number in plan.stanza_numbers:
        clock = stanza_clock(plan, number, last=False)
        start_s = performance.stanza_starts_s[plan.stanza_numbers.index(number)]
        for phrase in plan.phrases[:-1]:
            if phrase.breath(number) != "full" or not phrase.lift_q:
                continue
            middle_s = start_s + clock.seconds(
                phrase.last_onset_q + phrase.hold_q + phrase.lift_q / 2
            )
            moving = [
                press
                for press in performance.keys
                if press.onset_s <= middle_s < press.release_s
                and press.written_q < phrase.last_onset_q + phrase.hold_q
            ]
            assert not moving, (number, phrase.number)


def _two_lines(**kwargs) -> LeadingPlan:
    """Common metre's first half, with a repeated melody note and common tones."""
    score = four_part(
        "C | E E G E | D3 D | F F E D | C3 |]",
        "C | C C C C | B,3 B, | C C C B, | G,3 |]",
        "G, | G, G, G, G, | G,3 G, | A, A, G, F, | E,3 |]",
        "C, | C, C, E, C, | G,3 G, | F, F, G, G, | C,3 |]",
        words=("One two three four five six, sev- en eight nine ten e- lev'n.",),
    )
    return plan_hymn(
        score, overrides=read_overrides("phrase_ends_q = [5]\n" + kwargs.pop("own", ""))
    )


def test_the_melody_is_struck_again_and_the_alto_tied() -> None:
    keys = perform(_two_lines()).keys
    soprano = [k for k in keys if "soprano" in k.voices and k.written_q in (1, 2)]
    assert len(soprano) == 2
    assert soprano[0].release_q < 2
    alto = [k for k in keys if k.voices == ("alto",) and k.midi == 60]
    assert any(k.onset_q == 1 and k.release_q >= 4 for k in alto)


def test_a_carry_keeps_the_melody_sounding() -> None:
    plan = _two_lines(own='[phrases.1]\nbreath = "carry"\n')
    press = next(k for k in perform(plan).keys if k.written_q == 5 and "soprano" in k.voices)
    assert press.release_q > 5 + plan.phrases[0].hold_q


def test_a_part_lift_silences_the_melody_only() -> None:
    plan = _two_lines(own='[phrases.1]\nbreath = "part"\n')
    hold_q = plan.phrases[0].hold_q
    sounding = [k for k in perform(plan).keys if k.written_q <= 5 and k.release_q > 5 + hold_q]
    assert sounding
    assert all("soprano" not in k.voices for k in sounding)


def test_another_tempo_keeps_every_proportion() -> None:
    plan = _two_lines()
    planned, slow = perform(plan), perform(plan, quarter_bpm=plan.tempo.value.quarter_bpm / 2)
    for a, b in zip(planned.keys, slow.keys, strict=True):
        assert b.onset_s == pytest.approx(2 * a.onset_s)
        assert b.release_s == pytest.approx(2 * a.release_s)


def test_voices_can_be_played_apart() -> None:
    plan = _two_lines()
    bass = perform(plan, voices=["bass"])
    assert {k.division for k in bass.keys} == {"pedal"}
    upper = perform(plan, voices=["soprano", "alto", "tenor"])
    assert len(upper.keys) + len(bass.keys) == len(perform(plan).keys)


def test_pulses_go_on_through_the_gap() -> None:
    plan = _two_lines()
    pulses = perform(plan, stanzas=[1, 1]).pulses_s
    steps = [b - a for a, b in pairwise(pulses)]
    stretch_s = quarters_to_seconds(
        sum(p.stretch_q for p in plan.phrases), plan.tempo.value.quarter_bpm
    )
    assert max(steps) - min(steps) <= stretch_s + 1e-9
