"""The content of a Standard MIDI file: keys pressed and what its meta events say."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from operator import itemgetter

import mido

from suspirium.errors import ScoreError

DRUMS = 9  # General MIDI's percussion channel, counted from 0
MOST_TICKS = 2**31


@dataclass(frozen=True, slots=True)
class Key:
    """One key from press to release, in ticks; `stream` tells track and channel apart."""

    onset: int
    end: int
    pitch: int
    stream: tuple[int, int]


@dataclass(slots=True)
class MidiScore:
    """Keys in order of onset, and meta events as (tick, value)."""

    ticks_per_quarter: int
    keys: list[Key] = field(default_factory=list)
    times: list[tuple[int, tuple[int, int]]] = field(default_factory=list)
    signatures: list[tuple[int, str]] = field(default_factory=list)
    tempos: list[tuple[int, int]] = field(default_factory=list)
    lyrics: list[tuple[int, str]] = field(default_factory=list)
    names: dict[int, str] = field(default_factory=dict)
    rights: list[str] = field(default_factory=list)


def read_file(data: bytes) -> MidiScore:
    """Everything in the file that a score can use.

    Standard MIDI files 1.0, formats 0 and 1, with metrical time. Raises `ScoreError`.
    """
    try:
        midi = mido.MidiFile(file=io.BytesIO(data), clip=True)
    except Exception as error:  # whatever mido stumbles over, the file is damaged
        raise ScoreError("The MIDI file is damaged or its end is missing.") from error
    if midi.type not in (0, 1):
        raise ScoreError("The MIDI file is of format 2 (independent patterns), not one score.")
    if midi.ticks_per_beat <= 0:
        raise ScoreError("The MIDI file counts time in film frames, not in quarter notes.")
    score = MidiScore(midi.ticks_per_beat)
    for number, track in enumerate(midi.tracks):
        _read_track(score, number, track)
    score.keys.sort(key=lambda key: (key.onset, -key.pitch))
    for events in (score.times, score.signatures, score.tempos, score.lyrics):
        events.sort(key=itemgetter(0))
    if not score.keys:
        raise ScoreError("The MIDI file has no notes.")
    return score


def _read_track(score: MidiScore, number: int, track: mido.MidiTrack) -> None:
    now = 0
    down: dict[tuple[int, int], list[int]] = {}
    for message in track:
        now += message.time
        if now > MOST_TICKS:
            raise ScoreError("The MIDI file is damaged: it would last for days.")
        if message.is_meta:
            _read_meta(score, number, now, message)
        elif message.type == "note_on" and message.velocity and message.channel != DRUMS:
            down.setdefault((message.channel, message.note), []).append(now)
        elif message.type in ("note_on", "note_off"):
            pressed = down.get((message.channel, message.note))
            if pressed:
                _release(score, number, message.channel, message.note, pressed.pop(0), now)
    for (channel, pitch), pressed in down.items():
        for onset in pressed:
            _release(score, number, channel, pitch, onset, now)


def _release(score: MidiScore, number: int, channel: int, pitch: int, onset: int, end: int) -> None:
    if end > onset:
        score.keys.append(Key(onset, end, pitch, (number, channel)))


def _read_meta(score: MidiScore, number: int, now: int, message: mido.MetaMessage) -> None:
    kind = message.type
    if kind == "time_signature":
        score.times.append((now, (message.numerator, message.denominator)))
    elif kind == "key_signature":
        score.signatures.append((now, message.key))
    elif kind == "set_tempo" and message.tempo > 0:
        score.tempos.append((now, message.tempo))
    elif kind == "lyrics":
        score.lyrics.append((now, _decoded(message.text)))
    elif kind == "track_name":
        score.names.setdefault(number, _decoded(message.name).strip())
    elif kind == "copyright":
        score.rights.append(_decoded(message.text).strip())


def _decoded(text: str) -> str:
    """Text bytes are read as Latin-1; take them as UTF-8 where they are."""
    try:
        return text.encode("latin-1").decode("utf-8")
    except UnicodeError:
        return text


def streams(score: MidiScore) -> Iterator[list[Key]]:
    """The keys of each track and channel."""
    for stream in sorted({key.stream for key in score.keys}):
        yield [key for key in score.keys if key.stream == stream]
