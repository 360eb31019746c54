"""The practice recording: a performed score as sound, in its room."""

from __future__ import annotations

import io
import tempfile
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import IO, Literal

import numpy as np
from numpy.typing import NDArray

from suspirium.errors import OutputError
from suspirium.plan.performance import KeyPress, Performance
from suspirium.render.hall import in_room
from suspirium.render.organ import (
    Ranks,
    Signal,
    attack_s,
    db_to_gain,
    sample_rate,
    steady,
    usual_ranks,
)
from suspirium.room import Room
from suspirium.tables import load

SoundFormat = Literal["flac", "ogg", "wav"]
Drawn = Callable[[KeyPress], Ranks]
"""The ranks that sound when a key is pressed."""


def as_usual(press: KeyPress) -> Ranks:
    """What is drawn where no organ is named."""
    return usual_ranks(press.division)


LEAD_S = 0.5  # silence before the first note
_WRITE_BLOCK = 1 << 16
_FULL_SCALE = np.float32(32767.0)  # of 16 bits


def render_sound(
    performance: Performance, room: Room, *, ticks: bool = False, drawn: Drawn = as_usual
) -> NDArray[np.float32]:
    """Stereo sound of a performance, shape (samples, 2), peak as in ``tables/organ.toml``.

    It begins half a second before the first note and ends when the room has fallen silent.
    """
    sound = np.concatenate(list(_heard(performance, room, ticks, drawn)))
    sound *= _gain(_peak(sound))
    return sound


def record(
    performance: Performance,
    room: Room,
    forms: Iterable[SoundFormat],
    *,
    ticks: bool = False,
    behind: Sequence[KeyPress] = (),
    behind_db: float = 0.0,
    drawn: Drawn = as_usual,
) -> dict[SoundFormat, bytes]:
    """The same sound as files of the given forms, one after another; the keys `behind` sound
    along at another level.

    It lies in a temporary file until its peak is known: a long hymn needs no more memory
    than a short one.
    """
    with tempfile.TemporaryFile() as spool:
        peak = 0.0
        for block in _heard(performance, room, ticks, drawn, behind, db_to_gain(behind_db)):
            peak = max(peak, _peak(block))
            spool.write(np.ascontiguousarray(block).data)
        gain = _gain(peak)
        return {form: encode((block * gain for block in _spooled(spool)), form) for form in forms}


def _heard(
    performance: Performance,
    room: Room,
    ticks: bool,
    drawn: Drawn,
    behind: Sequence[KeyPress] = (),
    behind_gain: float = 1.0,
) -> Iterator[NDArray[np.float32]]:
    dry = _dry(performance.keys, performance.duration_s, drawn)
    if behind:
        dry += _dry(behind, performance.duration_s, drawn) * np.float32(behind_gain)
    if ticks:
        _add_ticks(dry, performance.pulses_s)
    return in_room(dry, room)


def _peak(sound: NDArray[np.float32]) -> float:
    return max(float(sound.max(initial=0.0)), -float(sound.min(initial=0.0)))


def _gain(peak: float) -> np.float32:
    return np.float32(db_to_gain(load("organ").number("peak_db")) / max(peak, 1e-9))


def _spooled(spool: IO[bytes]) -> Iterator[NDArray[np.float32]]:
    spool.seek(0)
    while block := spool.read(_WRITE_BLOCK * 2 * 4):
        yield np.frombuffer(block, dtype=np.float32).reshape(-1, 2)


def _dry(keys: Iterable[KeyPress], duration_s: float, drawn: Drawn) -> Signal:
    rate = sample_rate()
    release = int(load("organ").number("release_s") * rate)
    sound = np.zeros(int((duration_s + LEAD_S) * rate) + release + 1, dtype=np.float32)
    by_key: dict[tuple[Ranks, int], list[KeyPress]] = defaultdict(list)
    for press in keys:
        by_key[drawn(press), press.midi].append(press)
    fall = (0.5 + 0.5 * np.cos(np.pi * np.arange(release) / release)).astype(np.float32)
    for (ranks, midi), presses in by_key.items():
        spans = [_span(press, rate) for press in presses]
        tone = steady(ranks, midi, max(end - start for start, end in spans) + release)
        rise_length = int(attack_s(midi) * rate)
        rise = (0.5 - 0.5 * np.cos(np.pi * np.arange(rise_length) / rise_length)).astype(np.float32)
        for start, end in spans:
            spoken = min(rise_length, end - start)
            sound[start : start + spoken] += tone[:spoken] * rise[:spoken]
            sound[start + spoken : end] += tone[spoken : end - start]
            full = rise[spoken - 1] if spoken < rise_length else np.float32(1.0)
            sound[end : end + release] += tone[end - start : end - start + release] * (fall * full)
    return sound


def _span(press: KeyPress, rate: int) -> tuple[int, int]:
    start = round((press.onset_s + LEAD_S) * rate)
    return start, max(start + 1, round((press.release_s + LEAD_S) * rate))


def _add_ticks(sound: Signal, pulses_s: Iterable[float]) -> None:
    """A short high tick at every pulse, so that the pulse can be heard through the lifts."""
    table, rate = load("organ"), sample_rate()
    time_s = np.arange(int(0.05 * rate)) / rate
    level = float(np.max(np.abs(sound), initial=0.1)) * db_to_gain(table.number("tick.level_db"))
    tick = level * np.exp(-time_s / 0.012) * np.sin(2 * np.pi * table.number("tick.hz") * time_s)
    for pulse_s in pulses_s:
        start = round((pulse_s + LEAD_S) * rate)
        end = min(len(sound), start + len(tick))
        sound[start:end] += tick[: end - start].astype(np.float32)


def encode(blocks: Iterable[NDArray[np.float32]], form: SoundFormat) -> bytes:
    """Blocks of sound, shape (n, 2), as a FLAC, Ogg Vorbis or WAV file (16 bits where the
    form has bits). No block is longer than `_WRITE_BLOCK`: a large one overflows Vorbis."""
    import soundfile

    kinds = {"flac": ("FLAC", "PCM_16"), "ogg": ("OGG", "VORBIS"), "wav": ("WAV", "PCM_16")}
    if form not in kinds:
        raise OutputError(f"sound can be written as flac, ogg or wav, not as {form!r}")
    container, subtype = kinds[form]
    buffer = io.BytesIO()
    with soundfile.SoundFile(
        buffer, "w", sample_rate(), 2, subtype=subtype, format=container
    ) as file:
        for block in blocks:
            file.write(np.rint(block * _FULL_SCALE).astype(np.int16))
    return buffer.getvalue()
