"""What is said of notes that can't be reached has been tried."""

from __future__ import annotations

import pytest

from suspirium.technique.feet.board import pedalboard
from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.notes import manual_notes
from suspirium.technique.fingers.solve import finger
from suspirium.technique.hand import Hand
from suspirium.technique.instead import Party, by_feet, by_hands, instead, suggestions
from tests.unit.technique.bench import in_order, key

SMALL = by_hands(Costs(Hand(17.0)), ("left",))


def said(missing, others, playable=SMALL) -> str:
    return instead(missing, in_order(others), in_order(others), playable).split(": ")[1]


def test_a_note_that_sounds_in_another_octave_is_left_out() -> None:
    others = [key(48, 0, 1, "bass"), key(72, 0, 1, "melody")]
    assert said(key(60, 0, 1, "alto"), others) == "leave it out, it sounds in another octave"


def test_an_inner_note_goes_where_the_hand_can_hold_it() -> None:
    above = in_order([key(79, 0, 1, "melody")])
    bass = key(40, 0, 1, "bass")
    found = instead(key(59, 0, 1, "tenor"), [bass], [bass, *above], SMALL)
    assert found.endswith("take it an octave down")


def test_no_voice_is_moved_over_the_melody_or_under_the_bass() -> None:
    bass, melody = key(40, 0, 1, "bass"), key(57, 0, 1, "melody")
    found = instead(key(55, 0, 1, "tenor"), [bass], [bass, melody], lambda keys: True)
    assert found.endswith("take it an octave down")
    found = instead(key(50, 0, 1, "tenor"), [bass], [bass, melody], lambda keys: True)
    assert found.endswith("leave it out")


def test_where_neither_octave_can_be_held_the_note_is_left_out() -> None:
    others = [key(40, 0, 1, "bass"), key(79, 0, 1, "melody")]
    assert said(key(59, 0, 1, "tenor"), others, lambda keys: False) == "leave it out"


def test_what_comes_before_and_after_counts_too() -> None:
    bass, missing = key(40, 1, 2, "bass"), key(59, 1, 2, "tenor")
    melody = key(79, 0, 3, "melody")
    high = [key(65, 0, 1, "tenor"), key(66, 2, 3, "tenor")]
    tried = []

    def playable(keys) -> bool:
        tried.append([k.midi for k in keys])
        return False

    instead(missing, in_order([bass, *high]), in_order([bass, melody, *high]), playable)
    assert tried == [[65, 40, 71, 66], [65, 40, 47, 66]]


def test_a_note_that_must_be_let_go_early_is_said() -> None:
    keys = in_order([key(60, 0, 2, "tenor"), key(40, 1, 2, "bass")])
    costs = Costs(Hand(17.0))
    found = finger(keys, costs, ("left",))
    notes = manual_notes(keys, found, costs)
    assert notes[0].release_q == 1
    assert notes[0].released_early
    (text,) = suggestions([Party(keys, notes, SMALL)]).values()
    assert "let it go" in text


@pytest.mark.parametrize(("midis", "can"), [((36, 50), True), ((36, 61), False), ((30, 43), False)])
def test_feet_are_tried_on_their_board(midis, can) -> None:
    keys = in_order([key(midi, 0, 1, "bass") for midi in midis])
    assert by_feet(pedalboard("bdo"))(keys) == can
