"""Who gets which key: the usual sharing, the alto that goes over, small and large hands."""

from __future__ import annotations

import pytest

from suspirium.errors import OverrideError
from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.technique import Player, find_technique
from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.names import NONE, SIDES
from suspirium.technique.fingers.solve import finger
from suspirium.technique.hand import Hand, measured, preset
from suspirium.technique.share import BOTH, share
from tests.conftest import PARISH
from tests.reference.playable import impossible
from tests.unit.technique.bench import in_order, key

NAMES = ("small", "medium", "large")


def plan_of(name: str = "fallowmere"):
    path = PARISH / f"{name}.abc"
    return plan_hymn(read(path.read_bytes(), path.name))


def sides(keys, costs) -> list[str]:
    found = finger(keys, costs, BOTH)
    (struck,) = found.struck
    order = found.segments[0].keys
    by_key = dict(zip(order, struck, strict=True))
    return ["" if by_key[i] == NONE else SIDES[by_key[i]] for i in range(len(keys))]


def chord(*midis_and_parts):
    return in_order([key(midi, 0.0, 2.0, part) for midi, part in midis_and_parts])


def test_soprano_and_alto_go_to_the_right_hand_and_the_tenor_to_the_left() -> None:
    keys = chord((60, "tenor"), (67, "alto"), (72, "melody"))
    assert sides(keys, Costs(preset("medium"))) == ["left", "right", "right"]


def test_the_alto_goes_over_where_the_right_hand_cannot_hold_it() -> None:
    keys = chord((57, "tenor"), (62, "alto"), (81, "melody"))
    assert sides(keys, Costs(preset("medium"))) == ["left", "left", "right"]


def test_a_larger_hand_holds_the_alto_that_a_small_one_must_leave_out() -> None:
    keys = chord((46, "tenor"), (60, "alto"), (74, "melody"))
    found = {name: sides(keys, Costs(preset(name))) for name in NAMES}
    assert found["small"] == ["left", "", "right"]
    assert found["large"][1] in ("left", "right")


def test_presets_grow_and_a_wrong_name_or_span_is_refused() -> None:
    spans = [preset(name).span_cm for name in NAMES]
    assert spans == sorted(set(spans))
    assert measured(20.0) == Hand(20.0)
    for wrong in (5.0, 60.0):
        with pytest.raises(OverrideError, match="span"):
            measured(wrong)
    with pytest.raises(OverrideError, match="no hand"):
        preset("giant")


def test_the_bass_is_the_pedals_alone_and_without_a_pedal_the_left_hands() -> None:
    plan = plan_of()
    bass = plan.hymn.voices[-1].name
    shared = share(plan, "pedal")
    assert {voice for k in shared.pedal for voice in k.voices} == {bass}
    assert all(bass not in k.voices for _, keys in shared.manual for k in keys)
    notes = find_technique(plan, arrangement="manuals").notes
    assert not [note for note in notes if note.plays == "pedal"]
    alone = [note for note in notes if note.voices == (bass,)]
    assert sum(note.plays == "left" for note in alone) > 0.9 * len(alone) > 0


def test_a_solo_melody_has_the_right_hand_to_itself() -> None:
    plan = plan_of()
    notes = find_technique(plan, arrangement="solo").notes
    right = {voice for note in notes if note.plays == "right" for voice in note.voices}
    assert right == {plan.hymn.melody.name}


@pytest.mark.parametrize("arrangement", ["pedal", "manuals", "solo"])
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("level", ["fluent", "beginner"])
def test_no_hand_is_asked_for_what_it_cannot_do(arrangement, name, level) -> None:
    hand = preset(name)
    for path in sorted(PARISH.glob("*.abc")):
        plan = plan_hymn(read(path.read_bytes(), path.name))
        notes = find_technique(plan, Player(hand, level), arrangement).notes
        assert impossible(notes, hand.span_cm) == []


def test_a_beginner_changes_fewer_fingers_on_held_keys_and_lets_go_more() -> None:
    changes = dict.fromkeys(("fluent", "beginner"), 0)
    let_go = dict(changes)
    for path in sorted(PARISH.glob("*.abc")):
        plan = plan_hymn(read(path.read_bytes(), path.name))
        for level in changes:
            notes = find_technique(plan, Player(level=level)).notes
            changes[level] += sum(len(note.fingers) > 1 for note in notes)
            let_go[level] += sum(note.released_early for note in notes if note.fingers)
    assert changes["beginner"] < changes["fluent"]
    assert let_go["beginner"] > let_go["fluent"]


def test_an_inner_note_that_is_doubled_is_missed_less_than_others() -> None:
    costs = Costs(preset("medium"))
    for part, less in (("alto", True), ("tenor", True), ("melody", False), ("bass", False)):
        one = key(60, 0.0, 1.0, part)
        doubled, alone = costs.strike(one, doubled=True), costs.strike(one)
        assert (doubled[NONE] < alone[NONE]) == less
        assert (doubled[:NONE] == alone[:NONE]).all()


def test_keys_double_each_other_only_octaves_apart_and_struck_together() -> None:
    low, high, later = key(48, 0.0, 1.0), key(72, 0.0, 2.0), key(60, 0.5, 1.0)
    assert low.doubles(high)
    assert high.doubles(low)
    assert not low.doubles(low)
    assert not low.doubles(later)
    assert not low.doubles(key(55, 0.0, 1.0))
