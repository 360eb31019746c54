"""Reading a take from a Standard MIDI File."""

from __future__ import annotations

import io
from bisect import bisect_right
from collections.abc import Iterator

import mido

from suspirium.errors import Remark, TakeError
from suspirium.tables import load
from suspirium.take.model import Take, TakeNote

_DRUMS = 9  # General MIDI's percussion channel, counted from 0
_SUSTAIN = 64
_DOWN = 64  # a pedal controller of this value and more is down
_DEFAULT_TEMPO = 500_000  # microseconds a quarter until the file says otherwise
_MICRO = 1e-6


def read_take(data: bytes) -> Take:
    """The keys of a take: format 0 or 1, any channels, times by the file's own tempo map;
    also where the file lies inside a RIFF file, as some programs write it.

    The sustain pedal is passed over with a remark: an organ has none. Raises `TakeError`
    for what is no MIDI file, is damaged, has no keys or is too long to be a take.
    """
    table = load("take")
    most, most_notes = int(table["midi.most_bytes"]), int(table["midi.most_notes"])
    if not data:
        raise TakeError("the take is an empty file; record it again")
    if len(data) > most:
        raise TakeError(
            f"the take has {round(len(data) / 1e6, 1):g} MB, far more than a hymn (at most "
            f"{most / 1e6:g} MB); cut it to the hymn and try again"
        )
    if data[:4] == b"RIFF" and data[8:12] == b"RMID":
        data = data[max(0, data.find(b"MThd")) :]
    try:
        file = mido.MidiFile(file=io.BytesIO(data), clip=True)
    except Exception as error:  # whatever mido stumbles over, the file is damaged
        what = (
            "the MIDI file is damaged or its end is missing; record or copy it again"
            if data[:4] == b"MThd"
            else "this is no MIDI file, or its beginning is missing; give the file that the "
            "keyboard or console wrote"
        )
        raise TakeError(what) from error
    if file.type not in (0, 1):
        raise TakeError("the MIDI file is of format 2 (independent patterns), not one take")
    seconds = _Clock(file)
    notes = [note for track in file.tracks for note in _keys(track, seconds)]
    if not notes:
        raise TakeError("the take has no notes in it; check that the keyboard was connected")
    if len(notes) > most_notes:
        raise TakeError(
            f"the take has {len(notes)} notes, far more than a hymn (at most {most_notes}); "
            "cut it to the hymn and try again"
        )
    notes.sort(key=lambda note: (note.onset_s, note.midi, note.channel))
    return Take(tuple(notes), tuple(_remarks(file)))


class _Clock:
    """Seconds at a tick, by the tempo map of all tracks or by film frames."""

    def __init__(self, file: mido.MidiFile) -> None:
        division = int(file.ticks_per_beat)
        if division == 0:
            raise TakeError("the MIDI file counts no time: its division is 0")
        if division < 0:  # film frames: the high byte is their number a second, negative
            frames, ticks = -(division >> 8), max(1, division & 0xFF)
            self._marks = [(0, 0.0, 1.0 / (frames * ticks))]
            return
        self._marks = [(0, 0.0, _DEFAULT_TEMPO * _MICRO / division)]
        changes = sorted(
            (tick, int(message.tempo))
            for track in file.tracks
            for tick, message in _timed(track)
            if message.type == "set_tempo"
        )
        for tick, tempo in changes:
            self._marks.append((tick, self(tick), tempo * _MICRO / division))

    def __call__(self, tick: int) -> float:
        index = bisect_right(self._marks, tick, key=lambda mark: mark[0]) - 1
        since, at_s, length_s = self._marks[index]
        return at_s + (tick - since) * length_s


def _timed(track: mido.MidiTrack) -> Iterator[tuple[int, mido.Message]]:
    now = 0
    for message in track:
        now += message.time
        yield now, message


def _keys(track: mido.MidiTrack, seconds: _Clock) -> Iterator[TakeNote]:
    """Keys of one track; one pressed again without a release is released there."""
    down: dict[tuple[int, int], int] = {}
    now = 0
    for now, message in _timed(track):
        if message.type not in ("note_on", "note_off") or message.channel == _DRUMS:
            continue
        key = (message.channel, message.note)
        since = down.pop(key, None)
        if since is not None and now > since:
            yield TakeNote(seconds(since), seconds(now), message.note, message.channel)
        if message.type == "note_on" and message.velocity:
            down[key] = now
    for (channel, midi), since in down.items():
        if now > since:
            yield TakeNote(seconds(since), seconds(now), midi, channel)


def _remarks(file: mido.MidiFile) -> Iterator[Remark]:
    if any(
        message.type == "control_change" and message.control == _SUSTAIN and message.value >= _DOWN
        for track in file.tracks
        for message in track
    ):
        yield Remark("the sustain pedal was used; it is passed over, the keys count")
