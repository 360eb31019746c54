"""Tunes alike: the same in any key and rhythm, others not."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.desk.planning import plan_file
from suspirium.errors import SearchError
from suspirium.repertoire.alike import likeness
from suspirium.repertoire.keys import key_named, midi_named
from suspirium.repertoire.melody import Melody, melody_of, pattern_tokens
from suspirium.score.keynames import key_words
from suspirium.tables import load
from tests.conftest import PARISH

NAMES = ("fallowmere", "netherwick", "osmerley", "quillerby")
MELODIES = {name: melody_of(plan_file(PARISH / f"{name}.abc").hymn) for name in NAMES}
LEAST = load("repertoire").number("alike.least")


@given(st.sampled_from(NAMES), st.integers(-12, 12), st.sampled_from([Fraction(1, 2), Fraction(2)]))
def test_another_key_and_note_values_are_the_same_tune(name: str, by: int, wide: Fraction) -> None:
    tune = MELODIES[name]
    other = replace(
        tune,
        keys=tuple(key + by for key in tune.keys),
        lengths_q=tuple(length * wide for length in tune.lengths_q),
    )
    assert likeness(tune, other) == pytest.approx(1)


@pytest.mark.parametrize("name", NAMES)
def test_variants_are_still_the_tune_and_other_tunes_are_not(name: str) -> None:
    tune = MELODIES[name]
    keys = list(tune.keys)
    keys[5] += 2
    keys[11] -= 1
    shorter = Melody(tuple(keys[1:]), tuple(Fraction(1) for _ in keys[1:]), tune.degrees[1:])
    assert likeness(tune, shorter) >= LEAST
    assert likeness(tune, shorter) == pytest.approx(likeness(shorter, tune), abs=0.03)


def test_different_tunes_are_different() -> None:
    for one, other in combinations(NAMES, 2):
        assert likeness(MELODIES[one], MELODIES[other]) < LEAST


def test_degrees_are_those_of_the_key() -> None:
    assert MELODIES["fallowmere"].degrees[:6] == ("5", "1", "2", "3", "4", "3")


def test_typed_patterns_and_keys() -> None:
    assert pattern_tokens("5 1 1 2 3") == ("degrees", ",5,1,1,2,3,")
    assert pattern_tokens("+5, 0, -2") == ("intervals", ",5,0,-2,")
    assert key_named("G") == (1, "major")
    assert key_named("e minor") == (1, "minor")
    assert key_named("Bb") == (-2, "major")
    assert key_named("d dorian") == (0, "dorian")
    assert key_words(-3, "major") == "E♭ major"
    assert key_words(3, "minor") == "F♯ minor"
    assert midi_named("C4") == 60  # middle C, MIDI 1.0
    for wrong in ("8 9", "", "1 x"):
        with pytest.raises(SearchError):
            pattern_tokens(wrong)
