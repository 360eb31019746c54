"""Voices found again in MIDI, on the four-part hymns of the shared folder.

Each hymn is played into a Standard MIDI file (format 1 with a track for each voice, or
format 0 with all voices in one), keys released early, and read back. The share of notes
that come back in their voice is held against the share that ranking by pitch is measured
to reach on flattened chorales, 98.9 % (see `test_shared_hymns` for the source of the
hymns; skipped where they are absent).
"""

from __future__ import annotations

import io
from fractions import Fraction

import mido
import pytest

from suspirium.score.model import Hymn
from suspirium.score.reading import read
from suspirium.score.sounding import tones
from tests.conftest import HYMNS

FILES = sorted(HYMNS.glob("*.abc"))[::4] if HYMNS.is_dir() else []
TPQ = 480
Timed = list[tuple[int, int, mido.Message]]
pytestmark = pytest.mark.skipif(not FILES, reason="the folder of real hymns is absent")


def hymns() -> list[Hymn]:
    found = [read(path.read_bytes(), path.name) for path in FILES]
    return [hymn for hymn in found if hymn.times[0].time is not None]


def played(hymn: Hymn, *, one_track: bool, gate: Fraction = Fraction(9, 10)) -> bytes:
    """The hymn as a MIDI file that tells its time signature and its pickup."""
    tracks: list[Timed] = [[] for _ in range(1 if one_track else 1 + len(hymn.voices))]
    time = hymn.times[0].time
    assert time is not None
    starts = [(Fraction(0), time.beats, time.unit)]
    if hymn.pickup_q:
        starts = [(Fraction(0), int(2 * hymn.pickup_q), 8), (hymn.pickup_q, *starts[0][1:])]
    for onset_q, beats, unit in starts:
        message = mido.MetaMessage("time_signature", numerator=beats, denominator=unit)
        tracks[0].append((int(onset_q * TPQ), 0, message))
    for number, voice in enumerate(hymn.voices):
        track = tracks[0 if one_track else number + 1]
        for tone in tones(voice):
            off_q = tone.onset_q + tone.duration_q * gate
            for order, kind, at_q in ((2, "note_on", tone.onset_q), (1, "note_off", off_q)):
                message = mido.Message(kind, note=tone.pitch.midi, velocity=64)
                track.append((int(at_q * TPQ), order, message))
    return written(tracks)


def written(tracks: list[Timed]) -> bytes:
    file = mido.MidiFile(type=min(1, len(tracks) - 1), ticks_per_beat=TPQ)
    for events in tracks:
        track = mido.MidiTrack()
        now = 0
        for tick, _, message in sorted(events, key=lambda event: event[:2]):
            track.append(message.copy(time=tick - now))
            now = tick
        file.tracks.append(track)
    data = io.BytesIO()
    file.save(file=data)
    return data.getvalue()


def same(hymn: Hymn, found: Hymn) -> tuple[int, int]:
    """Notes that came back in their voice at their onset, and all notes."""
    right = count = 0
    for voice, other in zip(hymn.voices, found.voices, strict=True):
        before = {(tone.onset_q, tone.pitch.midi) for tone in tones(voice)}
        after = {(tone.onset_q, tone.pitch.midi) for tone in tones(other)}
        right, count = right + len(before & after), count + len(before)
    return right, count


def test_a_track_for_each_voice_comes_back_whole():
    for hymn in hymns():
        found = read(played(hymn, one_track=False), "hymn.mid")
        right, count = same(hymn, found)
        assert right == count
        assert found.pickup_q == hymn.pickup_q
        assert [str(c.time) for c in found.times][:1] == [str(hymn.times[0].time)]


def test_voices_in_one_track_are_found_by_rank():
    right = count = 0
    for hymn in hymns():
        found = read(played(hymn, one_track=True), "hymn.mid")
        assert [voice.name for voice in found.voices] == [v.name for v in hymn.voices]
        part = same(hymn, found)
        right, count = right + part[0], count + part[1]
    assert right / count >= 0.985
