"""What holds of every plan and its performance, whatever the hymn."""

from __future__ import annotations

import io
import json
from itertools import pairwise

import jsonschema
import mido
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from suspirium.plan.build import plan_hymn
from suspirium.plan.model import LeadingPlan
from suspirium.plan.overrides import Overrides
from suspirium.plan.performance import perform
from suspirium.render.midi import write_midi
from suspirium.render.plan_json import plan_values
from suspirium.render.plan_text import plan_text
from suspirium.room import Room
from suspirium.score.reading import read
from tests.conftest import HYMNS, PARISH, ROOT
from tests.oddities import ODDITIES
from tests.strategies import hymns

SCHEMA = json.loads((ROOT / "docs" / "plan.schema.json").read_text("utf-8"))
LONGEST_SILENCE_S = 5.0  # invented: nobody waits longer between stanzas in a common room
SCORES = [*sorted(PARISH.glob("*.abc")), *sorted(HYMNS.glob("*.abc"))[::12]]
bounded = settings(deadline=None, max_examples=40, suppress_health_check=list(HealthCheck))


def check_spans(plan: LeadingPlan) -> None:
    """Hold and lift are the written note and what is added; nothing is negative."""
    for phrase in plan.phrases:
        assert phrase.hold_q + phrase.lift_q == phrase.written_q + phrase.added_q
        assert phrase.hold_q > 0
        assert phrase.lift_q >= 0
        assert phrase.rest_q >= 0
        assert phrase.first_onset_q <= phrase.last_onset_q
    for phrase in (*plan.phrases[:-1], *filter(None, [plan.before_repeat])):
        assert phrase.added_q == 0
        assert phrase.lift_q < phrase.written_q
    assert plan.gap.value.silence_q >= 0
    assert plan.gap.value.extra_q >= 0


def check_keys(plan: LeadingPlan) -> None:
    """Every key comes up after it went down, and before it goes down again."""
    held: dict[tuple[str, int], float] = {}
    performance = perform(plan)
    assert performance.keys
    for press in performance.keys:
        assert press.release_q > press.onset_q >= 0
        assert press.release_s > press.onset_s
        assert press.onset_s >= held.get((press.division, press.midi), -1.0) - 1e-9
        held[press.division, press.midi] = press.release_s
    assert all(b > a for a, b in pairwise(performance.stanza_starts_s))
    check_midi(write_midi(plan, performance))


def check_midi(data: bytes) -> None:
    """Note-ons and note-offs alternate on every key (MIDI 1.0)."""
    for track in mido.MidiFile(file=io.BytesIO(data)).tracks:
        sounding: set[tuple[int, int]] = set()
        for message in track:
            if message.type == "note_on":
                assert (message.channel, message.note) not in sounding
                sounding.add((message.channel, message.note))
            elif message.type == "note_off":
                sounding.remove((message.channel, message.note))
        assert not sounding


def check_form(plan: LeadingPlan) -> None:
    """The JSON keeps its schema and has only finite numbers; the text fits a screen."""
    values = plan_values(plan, "hymn.abc")
    jsonschema.validate(values, SCHEMA)
    json.dumps(values, allow_nan=False)
    assert all(len(line) <= 78 for line in plan_text(plan).splitlines())


def check_all(plan: LeadingPlan) -> None:
    check_spans(plan)
    check_keys(plan)
    check_form(plan)
    tempo = plan.tempo.value
    assert tempo.low_quarter_bpm <= tempo.quarter_bpm <= tempo.high_quarter_bpm


@bounded
@given(hymns())
def test_random_hymns(hymn) -> None:
    check_all(plan_hymn(hymn))


@bounded
@given(hymns(), st.floats(0.1, 15), st.floats(0, 80), st.integers(1, 5000), st.floats(10, 400))
def test_any_room_crowd_and_tempo(hymn, rt_s, distance_m, singers, bpm) -> None:
    room = Room(rt_s, distance_m)
    check_all(plan_hymn(hymn, room=room, singers=singers))
    check_keys(plan_hymn(hymn, room=room, overrides=Overrides(quarter_bpm=bpm)))


@pytest.mark.parametrize("name", ODDITIES)
def test_oddities(name) -> None:
    plan = plan_hymn(read(ODDITIES[name].encode(), "odd.abc"))
    check_all(plan)
    assert 30 <= plan.tempo.value.quarter_bpm <= 300
    assert plan.gap.value.silence_s <= LONGEST_SILENCE_S


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_real_hymns(path) -> None:
    for room in (Room(0.1, 0), Room(15, 60)):
        check_all(plan_hymn(read(path.read_bytes(), path.name), room=room))


def test_measures_of_rest_at_the_end_are_not_waited_for() -> None:
    whole = plan_hymn(read(ODDITIES["rests last"].encode(), "odd.abc"))
    trimmed = ODDITIES["rests last"].replace("|z4|z4|z4|z4|]", "|]")
    assert whole.gap.value == plan_hymn(read(trimmed.encode(), "odd.abc")).gap.value


def test_a_repeat_of_all_lifts_without_the_stanza_gap() -> None:
    plan = plan_hymn(read(ODDITIES["all repeated"].replace("\nw:", "\n%").encode(), "odd.abc"))
    assert plan.before_repeat is not None
    assert plan.before_repeat.added_q == 0
    starts = [press for press in perform(plan).keys if press.written_q == 0]
    assert [press.onset_q for press in starts] == [0, 16]  # four bars of 4/4, no beat added
