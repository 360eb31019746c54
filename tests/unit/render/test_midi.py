"""The MIDI file against facts of the Standard MIDI File 1.0 specification, and mido as reader."""

from __future__ import annotations

import io
import struct

import mido
import pytest

from suspirium.plan.build import plan_hymn
from suspirium.plan.performance import perform
from suspirium.render.midi import TICKS_PER_QUARTER, write_midi
from suspirium.score.reading import read
from tests.conftest import PARISH

PATH = PARISH / "fallowmere.abc"
PLAN = plan_hymn(read(PATH.read_bytes(), PATH.name))
PERFORMANCE = perform(PLAN)
DATA = write_midi(PLAN, PERFORMANCE)


def test_header_chunk() -> None:
    """SMF 1.0: "MThd", length 6, format, number of tracks, division."""
    magic, length, form, tracks, division = struct.unpack(">4sIHHH", DATA[:14])
    assert (magic, length, form, division) == (b"MThd", 6, 1, TICKS_PER_QUARTER)
    assert tracks == DATA.count(b"MTrk") >= 3


def test_every_track_ends_as_it_must() -> None:
    """SMF 1.0: the End of Track event FF 2F 00 is not optional."""
    place = 14
    while place < len(DATA):
        kind, length = struct.unpack(">4sI", DATA[place : place + 8])
        assert kind == b"MTrk"
        place += 8 + length
        assert DATA[place - 3 : place] == b"\xff\x2f\x00"
    assert place == len(DATA)


def test_tempo_is_microseconds_a_quarter() -> None:
    """SMF 1.0: Set Tempo FF 51 03 gives microseconds per MIDI quarter note."""
    place = DATA.index(b"\xff\x51\x03")
    tempo = int.from_bytes(DATA[place + 3 : place + 6], "big")
    assert tempo == pytest.approx(60e6 / PLAN.tempo.value.quarter_bpm, abs=1)


def test_another_reader_hears_the_same() -> None:
    file = mido.MidiFile(file=io.BytesIO(DATA))
    down: dict[tuple[int, int], float] = {}
    heard = []
    now_s = 0.0
    for message in file:
        now_s += message.time
        if message.type == "note_on" and message.velocity:
            assert (message.channel, message.note) not in down
            down[message.channel, message.note] = now_s
        elif message.type in ("note_on", "note_off"):
            heard.append((down.pop((message.channel, message.note)), now_s, message.note))
    assert not down
    planned = sorted((k.onset_s, k.release_s, k.midi) for k in PERFORMANCE.keys)
    assert len(heard) == len(planned)
    for (on_a, off_a, key_a), (on_b, off_b, key_b) in zip(sorted(heard), planned, strict=True):
        assert on_a == pytest.approx(on_b, abs=0.002)
        assert off_a == pytest.approx(off_b, abs=0.002)
        assert key_a == key_b


def test_the_words_are_in_it() -> None:
    file = mido.MidiFile(file=io.BytesIO(DATA), charset="utf-8")
    text = "".join(m.text for track in file.tracks for m in track if m.type == "lyrics")
    assert "The lamps are lit" in text.replace("-", "")
    assert "least reply" in text.replace("-", "")
