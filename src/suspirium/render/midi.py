"""The performed score as a Standard MIDI File, type 1: manual, pedal and words."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator

import mido

from suspirium.plan.clock import stanza_clock
from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import KeyPress, Performance
from suspirium.score.sounding import time_at
from suspirium.score.words import sung
from suspirium.units import seconds_to_quarters

TICKS_PER_QUARTER = 960
_CHURCH_ORGAN = 19  # program 20 of General MIDI Level 1, counted from 0
_CHANNELS = {"manual": 0, "pedal": 1}
_VELOCITY = 80


def write_midi(
    plan: LeadingPlan, performance: Performance, *, stanzas: Iterable[int] | None = None
) -> bytes:
    """A MIDI file of `performance`; its tempo is the plan's, its times exact to a tick.

    Stretches and gaps are in the times of the notes, so that every player keeps them.
    """
    bpm = plan.tempo.value.quarter_bpm
    numbers = tuple(stanzas or plan.stanza_numbers)
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_QUARTER, charset="utf-8")
    file.tracks.append(_conductor(plan, bpm))
    for name, channel in _CHANNELS.items():
        keys = [key for key in performance.keys if key.division == name]
        if keys:
            file.tracks.append(_division(name, channel, keys, bpm))
    words = list(_words(plan, performance, numbers, bpm))
    if words:
        file.tracks.append(_track("words", words))
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def _ticks(at_s: float, bpm: float) -> int:
    return round(seconds_to_quarters(at_s, bpm) * TICKS_PER_QUARTER)


def _conductor(plan: LeadingPlan, bpm: float) -> mido.MidiTrack:
    track = mido.MidiTrack()
    track.append(mido.MetaMessage("track_name", name=plan.hymn.title))
    track.append(mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(bpm)))
    time = time_at(plan.hymn, plan.hymn.pickup_q)
    if time is not None:
        track.append(
            mido.MetaMessage("time_signature", numerator=time.beats, denominator=time.unit)
        )
    track.append(mido.MetaMessage("end_of_track"))
    return track


def _division(name: str, channel: int, keys: list[KeyPress], bpm: float) -> mido.MidiTrack:
    events = [(0, 0, mido.Message("program_change", program=_CHURCH_ORGAN, channel=channel))]
    for key in keys:
        down, up = _ticks(key.onset_s, bpm), _ticks(key.release_s, bpm)
        common = {"note": key.midi, "channel": channel}
        events.append((down, 2, mido.Message("note_on", velocity=_VELOCITY, **common)))
        events.append((max(down + 1, up), 1, mido.Message("note_off", velocity=0, **common)))
    return _track(name, events)


def _track(name: str, events: list[tuple[int, int, mido.Message]]) -> mido.MidiTrack:
    """Events (tick, rank, message) as delta times; releases come before strokes."""
    track = mido.MidiTrack()
    track.append(mido.MetaMessage("track_name", name=name))
    now = 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    track.append(mido.MetaMessage("end_of_track"))
    return track


def _words(
    plan: LeadingPlan, performance: Performance, numbers: tuple[int, ...], bpm: float
) -> Iterator[tuple[int, int, mido.MetaMessage]]:
    scale = bpm / plan.tempo.value.quarter_bpm
    for index, number in enumerate(numbers):
        clock = stanza_clock(plan, number, last=index == len(numbers) - 1)
        for syllable in sung(plan.hymn, number):
            shift = next((s for s in clock.shifts if s.start_q <= syllable.onset_q < s.end_q), None)
            if shift is None:
                continue
            at_s = (
                performance.stanza_starts_s[index]
                + clock.seconds(syllable.onset_q + shift.by_q) / scale
            )
            text = syllable.text + ("-" if syllable.joins_next else " ")
            yield _ticks(at_s, bpm), 1, mido.MetaMessage("lyrics", text=text)
