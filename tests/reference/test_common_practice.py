"""The plan against the customs of hymn playing.

Unless a test names a published source, what it checks is common practice.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from suspirium.plan.gap import GapSetting, choose_gap
from suspirium.plan.lift import choose_lift
from suspirium.plan.pulse import choose_pulse
from suspirium.plan.touch import repeat_gives_up
from suspirium.room import Room
from tests.build import MEDIUM_ROOM, hymn, lift_setting

HALF = Fraction(1, 2)


@pytest.mark.parametrize(
    ("case", "written", "sounds", "setting"),
    [
        ("whole note: sounds three, lifts on the fourth", 4, 3, lift_setting(100)),
        ("dotted half before a pickup in 4/4: lifts on the third beat", 3, 2, lift_setting(100)),
        ("dotted half in 3/4", 3, 2, lift_setting(100, triple=True)),
        ("dotted half in 3/4, one in the bar", 3, 2, lift_setting(126, triple=True)),
        ("half note in 4/4", 2, 1, lift_setting(100)),
        ("half note in a slow 4/4: a dotted quarter", 2, Fraction(3, 2), lift_setting(66)),
        ("last quarter of continuous quarters: half of it", 1, HALF, lift_setting(100)),
        ("dotted quarter in 6/8: a quarter", Fraction(3, 2), 1,
         lift_setting(75, beat_q=HALF, triple=True)),
        ("tied bar of 6/8: all but an eighth", 3, Fraction(5, 2),
         lift_setting(75, beat_q=HALF, triple=True)),
        ("breve in 4/2: three quarters of it", 8, 6, lift_setting(150, beat_q=Fraction(2))),
    ],
)  # fmt: skip
def test_what_a_last_note_gives_up(case: str, written: Fraction, sounds: Fraction, setting) -> None:
    lift = choose_lift(Fraction(written), Fraction(0), setting)
    assert lift.hold_q == sounds, case
    assert lift.hold_q + lift.lift_q == written


@pytest.mark.parametrize("bpm", [76, 84, 92, 100, 108])
def test_continuous_quarters_stretch_by_at_most_a_quarter_of_a_beat(bpm: float) -> None:
    lift = choose_lift(Fraction(1), Fraction(0), lift_setting(bpm))
    assert 0 <= lift.stretch_q <= Fraction(1, 4)
    assert lift.silence_s >= 0.3  # a catch breath takes 0.3 to 0.4 s


def test_quick_continuous_quarters_do_stretch() -> None:
    assert choose_lift(Fraction(1), Fraction(0), lift_setting(100)).stretch_q > 0


@pytest.mark.parametrize("rt_s", [0.8, 2.0, 5.0])
@pytest.mark.parametrize("written", [1, 2, 3, 4])
def test_a_lift_can_be_heard_in_its_room(rt_s: float, written: int) -> None:
    """A diffuse decay falls by 60 dB · g / RT in a gap g (ISO 3382-1's definition of RT)."""
    room = Room(rt_s, 15.0)
    lift = choose_lift(Fraction(written), Fraction(0), lift_setting(84, room=room))
    assert 60.0 * lift.silence_s / rt_s >= 5.0


@pytest.mark.parametrize(
    ("metre", "music", "bpm", "unit"),
    [
        ("4/4", "C D E F | G A G2 | E F G A | G4 |]", 96, 2),
        ("2/2", "C2 D2 | E2 F2 | G2 A2 | G4 |]", 130, 2),
        ("4/4", "C D E F | G A G2 |]", 66, 1),
        ("4/2", "C4 D4 | E4 F4 |]", 150, 2),
        ("3/4", "C2 D | E2 F | G2 A | G3 |]", 110, 3),
        ("3/4", "C D/E/ F | G A B | c3 |]", 76, 1),
        ("6/8", "C3/2 D3/2 | E3/2 F3/2 |]", 75, Fraction(3, 2)),
        ("6/4", "C2 D E2 F | G3 G3 |]", 130, 3),
        ("3/2", "C2 D2 E2 | F4 E2 |]", 150, 2),
        ("12/8", "C3/2 D3/2 E3/2 F3/2 |]", 90, Fraction(3, 2)),
        ("4/4", "C4 | D4 | E4 | F4 |]", 230, 4),
    ],
)
def test_the_pulse_people_feel(metre: str, music: str, bpm: float, unit: Fraction) -> None:
    pulse = choose_pulse(hymn(music, metre=metre), bpm)
    assert pulse.value.unit_q == unit


def _gap_setting(written: int, pickup: int, rt_s: float, bpm: float = 100) -> GapSetting:
    return GapSetting(
        written_q=Fraction(written),
        to_next_q=Fraction(written),
        pickup_q=Fraction(pickup),
        bar_place_q=Fraction(-(written + pickup)) % 4,
        bar_q=Fraction(4),
        pulse_q=Fraction(2),
        beat_q=Fraction(1),
        quarter_bpm=bpm,
        room=Room(rt_s, 15.0),
    )


@pytest.mark.parametrize("written", [1, 2, 3, 4])
@pytest.mark.parametrize("pickup", [0, 1])
@pytest.mark.parametrize("rt_s", [1.0, 2.0, 3.5])
def test_the_stanza_gap_keeps_whole_bars_and_is_heard(
    written: int, pickup: int, rt_s: float
) -> None:
    setting = _gap_setting(written, pickup, rt_s)
    gap = choose_gap(setting).value
    assert (setting.bar_place_q + gap.onset_to_onset_q + pickup) % 2 == 0  # whole pulses
    assert gap.silence_s >= max(1.0, 0.5 * rt_s) - 1e-9
    assert gap.silence_s <= 2.5 + 0.6  # never more than a beat beyond what falls apart
    assert gap.hold_q >= Fraction(written, 2)


def test_a_short_last_chord_gets_added_time_and_a_whole_note_may_need_none() -> None:
    assert choose_gap(_gap_setting(1, 1, 1.5)).value.extra_q > 0
    assert choose_gap(_gap_setting(4, 0, 1.5)).value.extra_q == 0


def test_a_live_room_asks_for_more_silence() -> None:
    dry = choose_gap(_gap_setting(3, 1, 1.0)).value.silence_s
    live = choose_gap(_gap_setting(3, 1, 4.0)).value.silence_s
    assert live > dry


@pytest.mark.parametrize(
    ("length", "bpm", "low", "high"),
    [
        (Fraction(1), 108, Fraction(1, 2), Fraction(1, 2)),
        (Fraction(1), 84, Fraction(1, 4), Fraction(1, 3)),
        (Fraction(1), 60, Fraction(1, 8), Fraction(1, 4)),
        (Fraction(3), 84, Fraction(1, 4), Fraction(1)),
    ],
)
def test_repeated_melody_notes_give_up_by_tempo(
    length: Fraction, bpm: float, low: Fraction, high: Fraction
) -> None:
    """From a quarter of 100 a half (organbench.com, July 2016); slower, a third to a quarter."""
    given = repeat_gives_up(length, bpm, MEDIUM_ROOM)
    assert low <= given <= high
    assert given * 60 / Fraction(bpm) >= Fraction(8, 100)
