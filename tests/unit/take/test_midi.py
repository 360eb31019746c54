"""Takes as Standard MIDI Files: every form a keyboard or console writes."""

from __future__ import annotations

import io
from contextlib import suppress

import mido
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.errors import TakeError
from suspirium.take.midi import read_take
from suspirium.take.model import TakeNote
from tests.playing import as_midi


def file_of(*tracks: list[mido.Message], kind: int = 1, ticks: int = 480) -> bytes:
    file = mido.MidiFile(type=kind, ticks_per_beat=ticks)
    file.tracks.extend(mido.MidiTrack(track) for track in tracks)
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def on(note: int, time: int = 0, channel: int = 0) -> mido.Message:
    return mido.Message("note_on", note=note, velocity=64, time=time, channel=channel)


def off(note: int, time: int = 0, channel: int = 0) -> mido.Message:
    return mido.Message("note_on", note=note, velocity=0, time=time, channel=channel)


def test_times_follow_the_tempo_map_of_any_track() -> None:
    tempo = [mido.MetaMessage("set_tempo", tempo=1_000_000, time=480)]
    take = read_take(file_of(tempo, [on(60), off(60, 960)]))
    # 480 ticks at 120 a minute (the standard's default), 480 at 60: 0.5 s and 1 s
    assert take.notes == (TakeNote(0.0, 1.5, 60, 0),)


def test_manuals_and_pedal_on_their_channels() -> None:
    take = read_take(
        file_of([on(60, channel=0), off(60, 480)], [on(36, channel=2), off(36, 480, 2)])
    )
    assert [(note.midi, note.channel) for note in take.notes] == [(36, 2), (60, 0)]


def test_a_key_struck_again_or_never_released_ends_somewhere() -> None:
    take = read_take(file_of([on(60), on(60, 480), on(62, 0), off(60, 480)]))
    assert [(note.midi, note.onset_s, note.release_s) for note in take.notes] == [
        (60, 0.0, 0.5),
        (60, 0.5, 1.0),
        (62, 0.5, 1.0),
    ]


def test_the_sustain_pedal_is_passed_over_and_said() -> None:
    held = mido.Message("control_change", control=64, value=127)
    take = read_take(file_of([held, on(60), off(60, 480)]))
    assert take.notes[0].release_s == 0.5
    assert "sustain" in str(take.remarks[0])


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"RIFF....WAVE", "no MIDI file"),
        (file_of([on(60), off(60, 480)])[:-9], "its end is missing"),
        (b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0MTrk\x00\x00\xff\xff", "damaged"),
        (file_of([]), "no notes"),
        (b"MThd" + bytes(30_000_000), "30 MB"),
    ],
)
def test_what_is_no_take_is_said_in_one_sentence(data: bytes, words: str) -> None:
    with pytest.raises(TakeError, match=words):
        read_take(data)


def test_more_notes_than_any_hymn_has_are_refused() -> None:
    keys = b"\x00\x90\x3c\x40" + b"\x01\x3c\x00\x01\x3c\x40" * 31_000 + b"\x00\xff\x2f\x00"
    head = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0MTrk"
    with pytest.raises(TakeError, match="31000 notes"):
        read_take(head + len(keys).to_bytes(4, "big") + keys)


def test_running_status_and_releases_of_both_kinds() -> None:
    # Standard MIDI Files 1.0: a status byte may be left out where it repeats; a note-on of
    # velocity 0 is a release, as is a note-off
    track = bytes.fromhex("00903c40 00 4040 8360 3c00 00 804040 00ff2f00".replace(" ", ""))
    head = bytes.fromhex("4d546864 00000006 0000 0001 01e0 4d54726b".replace(" ", ""))
    take = read_take(head + len(track).to_bytes(4, "big") + track)
    assert take.notes == (TakeNote(0.0, 0.5, 60, 0), TakeNote(0.0, 0.5, 64, 0))


def test_midi_inside_a_riff_file() -> None:
    inside = file_of([on(60), off(60, 480)])
    size = (len(inside) + 12).to_bytes(4, "little")
    chunk = b"data" + len(inside).to_bytes(4, "little") + inside
    assert read_take(b"RIFF" + size + b"RMID" + chunk).notes == (TakeNote(0.0, 0.5, 60, 0),)


def test_patterns_of_format_2_are_no_take() -> None:
    with pytest.raises(TakeError, match="format 2"):
        read_take(file_of([on(60), off(60, 480)], kind=2))


@given(st.binary(max_size=200))
def test_no_bytes_bring_a_traceback(tail: bytes) -> None:
    whole = file_of([on(60), off(60, 480)])
    for data in (tail, whole[:-10] + tail, whole[:14] + tail):
        with suppress(TakeError):  # nothing else may come
            assert read_take(data).notes


@given(
    st.lists(
        st.tuples(
            st.integers(0, 2000), st.integers(1, 500), st.integers(36, 96), st.integers(0, 3)
        ),
        min_size=1,
        max_size=30,
        unique_by=lambda note: (note[2], note[3]),
    )
)
def test_written_and_read_back(notes: list[tuple[int, int, int, int]]) -> None:
    played = [
        TakeNote(at / 960, (at + length) / 960, midi, channel)
        for at, length, midi, channel in notes
    ]
    back = read_take(as_midi(played)).notes
    begins = min(note.onset_s for note in played)
    assert begins >= 0
    assert sorted((n.midi, n.channel, round(n.onset_s * 960)) for n in back) == sorted(
        (n.midi, n.channel, round(n.onset_s * 960)) for n in played
    )
