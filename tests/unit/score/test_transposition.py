"""Written pitches and keys moved to where they sound."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.score.pitch import Pitch
from suspirium.score.transposition import transposition


@pytest.mark.parametrize(
    ("semitones", "fifths", "sounding"),
    [(-2, 2, 0), (-2, 0, -2), (-12, 3, 3), (6, 0, -6), (1, 7, 2), (-1, -7, -2), (11, 0, 5)],
)
def test_the_key_of_fewest_signs(semitones, fifths, sounding):
    assert fifths + transposition(semitones, fifths).fifths == sounding


@given(st.integers(-30, 30), st.integers(-7, 7), st.sampled_from("CDEFGAB"), st.integers(-2, 2))
def test_every_pitch_moves_by_the_semitones(semitones, fifths, step, alter):
    move = transposition(semitones, fifths)
    moved = move.pitch(Pitch(step, alter, 4))
    assert moved.midi - Pitch(step, alter, 4).midi == semitones
    assert abs(moved.alter) <= 2
    assert abs(fifths + move.fifths) <= 7


def test_what_would_take_three_signs_is_spelled_plainly():
    assert transposition(2, 4).pitch(Pitch("B", 2, 4)) == Pitch("D", 1, 5)
