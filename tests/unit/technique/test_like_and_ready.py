"""Like music gets like fingers and feet; free feet are placed ahead."""

from __future__ import annotations

from fractions import Fraction

import pytest

from suspirium.technique.feet.board import pedalboard
from suspirium.technique.feet.moves import move_s, way
from suspirium.technique.feet.notes import pedal_notes, tread
from suspirium.technique.fingers.likeness import like_places
from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.names import NUMBERS
from suspirium.technique.fingers.solve import finger
from suspirium.technique.hand import preset
from suspirium.technique.player import FixedFingers
from suspirium.technique.share import BOTH
from tests.unit.technique.bench import in_order, key, line

BOARD = pedalboard("ago")
STEPS = (60, 62, 64, 65, 67, 65, 64, 62)


def twice():
    """Eight notes, far leaps around them, and the same eight notes."""
    return line([*STEPS, 76, 55, *STEPS, 79, 52], 0.5)


def test_the_same_notes_come_again_with_the_same_fingers() -> None:
    keys = twice()
    found = finger(keys, Costs(preset("medium")), BOTH)
    like = like_places(keys, found.segments)
    assert set(like) == {12, 13, 14, 15}
    assert all(found.struck[at] == found.struck[earlier] for at, earlier in like.items())


def test_the_same_bass_comes_again_with_the_same_feet() -> None:
    bass = [36, 41, 43, 38, 45, 40, 43, 36]
    keys = line([*bass, 60, 52, *bass], 0.75, "bass")
    found = tread(keys, BOARD)
    for at in range(12, 16):
        assert found.treads[at][0] == found.treads[at - 10][0]


def test_a_free_foot_waits_over_its_next_key() -> None:
    keys = line([36, 55, 38, 53], 1.0, "bass")
    notes = pedal_notes(keys, tread(keys, BOARD), BOARD, [0] * 4)
    assert [note.foot for note in notes] == ["left", "right", "left", "right"]
    assert [note.ready_s for note in notes] == [
        0.0,
        0.0,
        pytest.approx(1.0 + move_s(BOARD, 36, 38)),
        pytest.approx(2.0 + move_s(BOARD, 55, 53)),
    ]


def test_a_foot_that_goes_straight_on_does_not_wait() -> None:
    keys = in_order([key(36, 0, 1, "bass"), key(60, 0, 2, "bass"), key(38, 1, 2, "bass")])
    notes = pedal_notes(keys, tread(keys, BOARD), BOARD, [0] * 3)
    last = next(note for note in notes if note.midi_pitch == 38)
    assert last.foot == "left"
    assert last.ready_s is None


@pytest.mark.parametrize("name", ["ago", "rco", "bdo", "flat"])
def test_leaps_take_the_time_that_is_common_practice_for_a_fifth(name: str) -> None:
    board = pedalboard(name)
    fifth_s = move_s(board, 43, 50)  # G to d
    assert fifth_s == pytest.approx(0.4, abs=0.02)
    assert move_s(board, 36, 38) < fifth_s < move_s(board, 36, 60)


def test_a_foot_turns_out_more_readily_than_in() -> None:
    out = way(BOARD, "right", 52, "toe", 48, "heel").points  # heel on c, toe on e
    inward = way(BOARD, "left", 52, "toe", 48, "heel").points
    assert out is not None
    assert inward is not None
    assert out < inward
    assert way(BOARD, "right", 53, "toe", 48, "heel").points is not None  # a fourth, turned out
    assert way(BOARD, "left", 53, "toe", 48, "heel").points is None


def test_fingers_of_the_player_stay_and_the_rest_goes_with_them() -> None:
    keys = line(STEPS, 0.5)
    own = FixedFingers("melody", Fraction(2), (4,), "right")
    free = finger(keys, Costs(preset("medium")), BOTH)
    kept = finger(keys, Costs(preset("medium")), BOTH, [own])
    place = next(i for i, segment in enumerate(kept.segments) if segment.onset_q == 2)
    assert NUMBERS[kept.struck[place][0]] == 4
    assert NUMBERS[free.struck[place][0]] != 4
    assert kept.points >= free.points
