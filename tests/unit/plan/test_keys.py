"""Voices that meet on one key; the cases are common practice."""

from __future__ import annotations

from fractions import Fraction

from suspirium.plan.build import plan_hymn
from suspirium.plan.overrides import read_overrides
from suspirium.plan.performance import KeyPress, perform
from tests.build import four_part

ONE_LINE = read_overrides("phrase_ends_q = []")
BASS = "C, C, C, C, | G,4 |]"


def _keys(soprano: str, alto: str, tenor: str = "E, E, E, E, | D,4 |]") -> list[KeyPress]:
    plan = plan_hymn(four_part(soprano, alto, tenor, BASS), overrides=ONE_LINE)
    return [key for key in perform(plan).keys if key.division == "manual"]


def _on(keys: list[KeyPress], midi: int) -> list[KeyPress]:
    return [key for key in keys if key.midi == midi]


def test_a_unison_is_one_key() -> None:
    keys = _on(_keys("E G F E | D4 |]", "E C D C | B,4 |]"), 64)
    assert keys[0].onset_q == 0
    assert set(keys[0].voices) == {"soprano", "alto"}
    assert len([k for k in keys if k.onset_q == 0]) == 1


def test_the_melody_speaks_on_a_key_the_alto_leaves() -> None:
    keys = _on(_keys("G E F G | G4 |]", "E C D E | D4 |]"), 64)
    assert keys[0].voices == ("alto",)
    assert keys[0].release_q == 1 - Fraction(1, 4)
    assert keys[1].onset_q == 1
    assert "soprano" in keys[1].voices


def test_the_melody_speaks_on_a_key_the_alto_holds() -> None:
    keys = _on(_keys("G E F G | G4 |]", "E2 D E | D4 |]"), 64)
    assert keys[0].release_q < 1
    assert keys[1].onset_q == 1
    assert keys[1].release_q == 2  # the alto's note is not lost


def test_an_inner_voice_keeps_a_key_another_leaves() -> None:
    keys = _on(_keys("G A G G | G4 |]", "E F D D | D4 |]", "C E C B, | B,4 |]"), 64)
    assert [(k.onset_q, k.release_q) for k in keys] == [(0, 2)]
    assert set(keys[0].voices) == {"alto", "tenor"}


def test_the_melody_wins_over_an_alto_holding_its_repeated_note() -> None:
    keys = _on(_keys("E E F E | D4 |]", "E2 D C | B,4 |]"), 64)
    struck = [k for k in keys if k.onset_q in (0, 1)]
    assert [k.onset_q for k in struck] == [0, 1]
    assert struck[0].release_q < 1


def test_the_bass_has_keys_of_its_own() -> None:
    plan = plan_hymn(four_part("G G A G | G4 |]", "E D C E | D4 |]", "C, E, F, C, | B,,4 |]", BASS))
    pedal = [key for key in perform(plan).keys if key.division == "pedal"]
    assert {voice for key in pedal for voice in key.voices} == {"bass"}
