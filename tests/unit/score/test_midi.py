"""Hymns in Standard MIDI files."""

from __future__ import annotations

import io
from collections.abc import Sequence
from fractions import Fraction as F

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suspirium.errors import ScoreError
from suspirium.score.midi import read_midi
from suspirium.score.midi.grid import snapped_q
from suspirium.score.model import Hymn
from suspirium.score.reading import read
from suspirium.score.sounding import tones

# The worked example of the Standard MIDI Files 1.0 specification, format 0 (the bytes from
# memory): 4/4, quarter = 120, and in three channels with running status and a delta time
# of two bytes C3 and C4 for a bar, G4 from the second beat, E5 from the third.
HEADER = bytes.fromhex("4D546864 00000006 0000 0001 0060")
TRACK = bytes.fromhex(
    "00FF580404021808 00FF510307A120 00C005 00C12E 00C246 00923060 003C60 60914340 60904C20"
    "8140823040 003C40 00814340 00804C40 00FF2F00"
)
EXAMPLE = HEADER + b"MTrk" + len(TRACK).to_bytes(4, "big") + TRACK

Event = tuple[int, mido.Message | mido.MetaMessage]
TPQ = 480


def written(*tracks: Sequence[Event], kind: int = 1) -> bytes:
    """A MIDI file from (tick, message) pairs."""
    file = mido.MidiFile(type=kind, ticks_per_beat=TPQ)
    for events in tracks:
        track = mido.MidiTrack()
        now = 0
        for tick, message in sorted(events, key=lambda event: (event[0], _is_press(event[1]))):
            track.append(message.copy(time=tick - now))
            now = tick
        file.tracks.append(track)
    data = io.BytesIO()
    file.save(file=data)
    return data.getvalue()


def _is_press(message: mido.Message | mido.MetaMessage) -> bool:
    return message.type == "note_on"


def line(music: str, start: float = 0.0, gate: float = 1.0, channel: int = 0) -> list[Event]:
    """Notes "60:1 62:2 r:1" (key and quarters) as presses and releases."""
    events: list[Event] = []
    now = start
    for item in music.split():
        key, _, length = item.partition(":")
        lasts = float(F(length or "1"))
        if key != "r":
            args = {"note": int(key), "channel": channel, "velocity": 64}
            events.append((round(now * TPQ), mido.Message("note_on", **args)))
            events.append((round((now + lasts * gate) * TPQ), mido.Message("note_off", **args)))
        now += lasts
    return events


def meta(kind: str, tick: float = 0, **values: object) -> Event:
    return (round(tick * TPQ), mido.MetaMessage(kind, **values))


def times(beats: int = 4, unit: int = 4, at: float = 0) -> Event:
    return meta("time_signature", at, numerator=beats, denominator=unit)


def heard(hymn: Hymn) -> list[list[tuple[F, F, int]]]:
    return [[(t.onset_q, t.end_q, t.pitch.midi) for t in tones(v)] for v in hymn.voices]


FOUR = ("72:1 74:1 76:2", "67:2 67:1 67:1", "64:1 65:1 64:2", "48:1 47:1 48:2")


def test_the_example_of_the_specification():
    hymn = read_midi(EXAMPLE)
    assert heard(hymn) == [[(2, 4, 76)], [(1, 4, 67)], [(0, 4, 48), (0, 4, 60)]]
    assert hymn.quarter_bpm == 120
    assert [str(change.time) for change in hymn.times] == ["4/4"]
    assert [measure.duration_q for measure in hymn.measures] == [4]


@pytest.mark.parametrize("end", range(len(EXAMPLE)))
def test_the_example_cut_off_anywhere(end: int):
    try:
        read(EXAMPLE[:end], "example.mid")
    except ScoreError:
        return
    assert end >= len(EXAMPLE) - 4  # only the end-of-track event may be missing


def test_a_voice_in_each_track():
    data = written([times()], *(line(music) for music in reversed(FOUR)))
    hymn = read_midi(data)
    assert [voice.name for voice in hymn.voices] == ["soprano", "alto", "tenor", "bass"]
    assert heard(hymn)[0] == [(0, 1, 72), (1, 2, 74), (2, 4, 76)]
    assert [(voice.staff, voice.clef) for voice in hymn.voices] == [
        (0, "treble"), (0, "treble"), (1, "bass"), (1, "bass")]  # fmt: skip


def test_all_voices_in_one_track():
    one_track = [event for music in FOUR for event in line(music)]
    assert heard(read_midi(written([times(), *one_track], kind=0))) == heard(
        read_midi(written([times()], *(line(music) for music in FOUR))))  # fmt: skip


def test_a_held_voice_is_one_note_while_others_move():
    hymn = read_midi(written([times(), *line("72:4"), *line("64:1 65:1 67:1 65:1")], kind=0))
    assert [note.duration_q for note in hymn.voices[0].notes] == [4]
    assert len(hymn.voices[1].notes) == 4


def test_a_repeated_key_is_a_repeated_note():
    hymn = read_midi(written([times(), *line("72:1 72:1 72:2")], kind=0))
    assert [(n.duration_q, n.tied) for n in hymn.melody.notes] == [(1, False), (1, False),
                                                                  (2, False)]  # fmt: skip


def test_a_note_over_a_barline_is_tied():
    hymn = read_midi(written([times(), *line("72:3 74:2 76:3")], kind=0))
    assert [(n.onset_q, n.duration_q, n.tied) for n in hymn.melody.notes] == [
        (0, 3, False), (3, 1, True), (4, 1, False), (5, 3, False)]  # fmt: skip
    assert [t.end_q - t.onset_q for t in tones(hymn.melody)] == [3, 2, 3]


def test_voices_in_unison_share_a_key():
    chords = ["72:1 74:1", "67:1 67:1", "64:1 62:1", "48:1 r:1"]
    hymn = read_midi(written([times(), *(e for m in chords for e in line(m))], kind=0))
    assert [voice[-1][2] for voice in heard(hymn)] == [74, 67, 62, 62]


@pytest.mark.parametrize("gate", [0.75, 0.9, 1.0])
def test_keys_that_come_up_early_are_held_to_the_next(gate: float):
    hymn = read_midi(written([times()], *(line(music, gate=gate) for music in FOUR)))
    assert heard(hymn)[0] == [(0, 1, 72), (1, 2, 74), (2, 4, 76)]


def test_a_long_silence_is_a_rest():
    hymn = read_midi(written([times(), *line("72:1 r:2 74:1")], kind=0))
    assert [(n.is_rest, n.duration_q) for n in hymn.melody.notes] == [
        (False, 1), (True, 2), (False, 1)]  # fmt: skip


def test_triplets_and_dotted_notes_are_exact():
    hymn = read_midi(written([times(), *line("72:2/3 74:2/3 76:2/3 77:3/4 79:1/4 81:1")], kind=0))
    assert [note.duration_q for note in hymn.melody.notes] == [
        F(2, 3), F(2, 3), F(2, 3), F(3, 4), F(1, 4), 1]  # fmt: skip


@given(place=st.fractions(0, 50, max_denominator=960))
def test_snapping_moves_at_most_a_sixteenth_of_a_quarter(place: F):
    snapped = snapped_q(place)
    assert abs(snapped - place) <= F(1, 16)
    assert any((snapped * parts).denominator == 1 for parts in (6, 8))
    assert snapped_q(snapped) == snapped


def test_a_pickup_told_by_a_short_first_bar():
    data = written([times(1), times(4, at=1), *line("67:1 72:1 74:1 76:1 77:1 79:3")], kind=0)
    hymn = read_midi(data)
    assert hymn.pickup_q == 1
    assert [(m.number, m.duration_q) for m in hymn.measures] == [(0, 1), (1, 4), (2, 3)]
    assert [str(change.time) for change in hymn.times] == ["4/4"]


def test_a_pickup_told_by_silence_before_the_first_note():
    data = written([times(), *line("r:7 67:1 72:1 74:1 76:1 77:1 79:3")], kind=0)
    hymn = read_midi(data)
    assert hymn.pickup_q == 1
    assert hymn.melody.notes[0].onset_q == 0


def test_a_pickup_is_guessed_from_heavy_downbeats_and_told():
    bars = " ".join("67:1 72:2" for _ in range(6))
    hymn = read_midi(written([times(3), *line(bars)], kind=0))
    assert hymn.pickup_q == 1
    assert any("guessed" in remark.text for remark in hymn.remarks)


def test_what_a_file_does_not_tell_is_told():
    texts = " ".join(r.text for r in read_midi(written(line("72:1 74:1"), kind=0)).remarks)
    for missing in ("no slurs", "no time signature", "no key"):
        assert missing in texts


@pytest.mark.parametrize(
    ("name", "fifths", "mode", "pitch"),
    [("Eb", -3, "major", "A♭4"), ("Cm", -3, "minor", "A♭4"), ("E", 4, "major", "G♯4"),
     ("F#m", 3, "minor", "G♯4")],
)  # fmt: skip
def test_key_signatures_spell_the_notes(name: str, fifths: int, mode: str, pitch: str):
    hymn = read_midi(written([meta("key_signature", key=name), *line("68:1")], kind=0))
    assert [(c.fifths, c.mode) for c in hymn.keys] == [(fifths, mode)]
    assert str(hymn.melody.notes[0].pitches[0]) == pitch


@pytest.mark.parametrize(
    ("music", "fifths", "mode"),
    [("67:1 69:1 71:1 72:1 74:1 76:1 78:1 79:1", 1, "major"),
     ("62:1 64:1 65:1 67:1 69:1 70:1 61:1 62:1", -1, "minor")],
)  # fmt: skip
def test_a_key_is_guessed(music: str, fifths: int, mode: str):
    hymn = read_midi(written(line(music), kind=0))
    assert [(c.fifths, c.mode) for c in hymn.keys] == [(fifths, mode)]


@pytest.mark.parametrize(
    ("texts", "expected"),
    [(["Glo-", "ry", "be"], [("Glo", True), ("ry", False), ("be", False)]),
     (["Glo", "ry ", "be "], [("Glo", True), ("ry", False), ("be", False)]),
     (["Glo-\n", "ry", "to\r"], [("Glo", True), ("ry", False), ("to", False)])],
)  # fmt: skip
def test_lyrics_are_the_first_stanza(texts: list[str], expected: list[tuple[str, bool]]):
    lyrics = [meta("lyrics", tick, text=text) for tick, text in enumerate(texts)]
    hymn = read_midi(written([times(), *lyrics, *line("72:1 74:1 76:2")], kind=0))
    assert [(s.text, s.joins_next) for s in hymn.stanzas[0].syllables] == expected
    assert hymn.stanzas[0].syllables[-1].end_q == 4


def test_lyrics_under_no_note_are_told():
    lyrics = [meta("lyrics", 0, text="one"), meta("lyrics", 0.5, text="lost")]
    hymn = read_midi(written([times(), *lyrics, *line("72:2 74:2")], kind=0))
    assert [s.text for s in hymn.stanzas[0].syllables] == ["one"]
    assert hymn.stanzas[0].syllables[0].end_q == 4
    assert any("1 syllables stand" in remark.text for remark in hymn.remarks)


def test_names_and_rights():
    data = written([meta("track_name", name="Field"), meta("copyright", text="© Ann Example"),
                    *line("72:4")], kind=0)  # fmt: skip
    hymn = read_midi(data)
    assert hymn.title == "Field"
    assert [(c.role, c.text) for c in hymn.credits] == [("copyright", "© Ann Example")]


def test_percussion_is_no_voice():
    hymn = read_midi(written([*line("72:4"), *line("36:1 36:1", channel=9)], kind=0))
    assert heard(hymn) == [[(0, 4, 72)]]


@pytest.mark.parametrize(
    ("data", "message"),
    [(b"MThd", "damaged"), (written([times()]), "no notes"),
     (written(line("72:4"), kind=2), "format 2"),
     (EXAMPLE.replace(bytes.fromhex("00010060"), bytes.fromhex("0001E728")), "film frames"),
     (written(line("72:1 r:9000 74:1"), kind=0), "longer than any hymn")],
)  # fmt: skip
def test_what_is_no_score(data: bytes, message: str):
    with pytest.raises(ScoreError, match=message):
        read_midi(data)


WHOLE = written(
    [
        times(1),
        times(4, at=1),
        meta("key_signature", key="Eb"),
        meta("lyrics", 0, text="Glo-"),
        *(e for m in FOUR for e in line(m)),
    ],
    kind=0,
)


@settings(max_examples=200, deadline=None)
@given(place=st.integers(0, len(WHOLE)), length=st.integers(0, 12), instead=st.binary(max_size=12))
def test_any_stretch_replaced(place: int, length: int, instead: bytes):
    try:
        hymn = read(WHOLE[:place] + instead + WHOLE[place + length :], "field.mid")
    except ScoreError:
        return
    assert hymn.voices
