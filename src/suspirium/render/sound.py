"""The practice recording: a performed score as sound, in its room."""

from __future__ import annotations

import io
from collections import defaultdict
from collections.abc import Iterable
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from suspirium.errors import OutputError
from suspirium.plan.performance import KeyPress, Performance
from suspirium.render.hall import in_room
from suspirium.render.organ import Signal, attack_s, db_to_gain, sample_rate, steady
from suspirium.room import Room
from suspirium.tables import load

SoundFormat = Literal["flac", "ogg", "wav"]
_LEAD_S = 0.5  # silence before the first note
_WRITE_BLOCK = 1 << 16


def render_sound(
    performance: Performance, room: Room, *, ticks: bool = False
) -> NDArray[np.float32]:
    """Stereo sound of a performance, shape (samples, 2), peak as in ``tables/organ.toml``.

    It begins half a second before the first note and ends when the room has fallen silent.
    """
    dry = _dry(performance.keys, performance.duration_s)
    if ticks:
        _add_ticks(dry, performance.pulses_s)
    wet = in_room(dry, room)
    peak = max(float(wet.max(initial=1e-9)), -float(wet.min(initial=0.0)))  # without a copy
    wet *= db_to_gain(load("organ").number("peak_db")) / peak
    return wet


def _dry(keys: Iterable[KeyPress], duration_s: float) -> Signal:
    rate = sample_rate()
    release = int(load("organ").number("release_s") * rate)
    sound = np.zeros(int((duration_s + _LEAD_S) * rate) + release + 1, dtype=np.float32)
    by_key: dict[tuple[str, int], list[KeyPress]] = defaultdict(list)
    for press in keys:
        by_key[press.division, press.midi].append(press)
    fall = (0.5 + 0.5 * np.cos(np.pi * np.arange(release) / release)).astype(np.float32)
    for (division, midi), presses in by_key.items():
        spans = [_span(press, rate) for press in presses]
        tone = steady(division, midi, max(end - start for start, end in spans) + release)
        rise_length = int(attack_s(midi) * rate)
        rise = (0.5 - 0.5 * np.cos(np.pi * np.arange(rise_length) / rise_length)).astype(np.float32)
        for start, end in spans:
            note = tone[: end - start + release].copy()
            attack = rise[: end - start]
            note[: len(attack)] *= attack
            note[end - start :] *= fall * note.dtype.type(
                attack[-1] if len(attack) < rise_length else 1.0
            )
            sound[start : start + len(note)] += note
    return sound


def _span(press: KeyPress, rate: int) -> tuple[int, int]:
    start = round((press.onset_s + _LEAD_S) * rate)
    return start, max(start + 1, round((press.release_s + _LEAD_S) * rate))


def _add_ticks(sound: Signal, pulses_s: Iterable[float]) -> None:
    """A short high tick at every pulse, so that the pulse can be heard through the lifts."""
    table, rate = load("organ"), sample_rate()
    time_s = np.arange(int(0.05 * rate)) / rate
    level = float(np.max(np.abs(sound), initial=0.1)) * db_to_gain(table.number("tick.level_db"))
    tick = level * np.exp(-time_s / 0.012) * np.sin(2 * np.pi * table.number("tick.hz") * time_s)
    for pulse_s in pulses_s:
        start = round((pulse_s + _LEAD_S) * rate)
        end = min(len(sound), start + len(tick))
        sound[start:end] += tick[: end - start].astype(np.float32)


def encode(sound: NDArray[np.float32], form: SoundFormat) -> bytes:
    """The sound as a FLAC, Ogg Vorbis or WAV file (16 bits where the form has bits)."""
    import soundfile

    kinds = {"flac": ("FLAC", "PCM_16"), "ogg": ("OGG", "VORBIS"), "wav": ("WAV", "PCM_16")}
    if form not in kinds:
        raise OutputError(f"sound can be written as flac, ogg or wav, not as {form!r}")
    container, subtype = kinds[form]
    buffer = io.BytesIO()
    with soundfile.SoundFile(
        buffer, "w", sample_rate(), 2, subtype=subtype, format=container
    ) as file:
        for start in range(0, len(sound), _WRITE_BLOCK):  # one large Vorbis block overflows
            file.write(sound[start : start + _WRITE_BLOCK])
    return buffer.getvalue()
