"""Invented people singing with a take: late, spread, out of tune, each with a vibrato."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from suspirium.take.model import TakeNote

Array = npt.NDArray[np.float64]

_FORMANTS = ((600.0, 1.0), (1100.0, 0.5), (2600.0, 0.15))  # Hz and level: an open vowel
_WIDTH_HZ = 160.0
_HARMONICS = 10


def melody_of(notes: Sequence[TakeNote]) -> list[TakeNote]:
    """The highest key of each chord that goes down together: what is sung."""
    found: list[TakeNote] = []
    for note in sorted(notes, key=lambda note: note.onset_s):
        if found and note.onset_s - found[-1].onset_s < 0.12:
            if note.midi > found[-1].midi:
                found[-1] = note
            continue
        found.append(note)
    return found


def sing(
    melody: Sequence[TakeNote],
    length: int,
    begins_s: float,
    *,
    people: int = 24,
    late_s: float = 0.09,
    spread_s: float = 0.06,
    rate: int = 16000,
    seed: int = 0,
) -> Array:
    """`length` samples of `people` singing `melody`, whose second 0 is `begins_s` there.

    Each is late by about `late_s`, one more and one less; half of them sing an octave lower.
    """
    chance = np.random.default_rng(seed)
    sung = np.zeros(length)
    for person in range(people):
        own_late_s = late_s + chance.normal(0, spread_s / 2)
        cents = chance.normal(0, 12)
        trill_hz, trill = chance.uniform(4.8, 6.2), chance.uniform(10, 35)
        for note in melody:
            begin_s = note.onset_s + begins_s + own_late_s + chance.normal(0, spread_s / 2)
            end_s = note.release_s + begins_s + own_late_s + chance.normal(0, spread_s / 2)
            start, stop = int(begin_s * rate), min(length, int(end_s * rate))
            if stop - start < 400 or start < 0:
                continue
            time_s = np.arange(stop - start) / rate
            wander = cents + chance.normal(0, 8)
            midi = note.midi - (12 if person % 2 else 0)
            hz = 440 * 2 ** ((midi - 69 + wander / 100) / 12)
            bend = trill / 1731 * hz / (2 * np.pi * trill_hz)
            turn = 2 * np.pi * (hz * time_s - bend * np.cos(2 * np.pi * trill_hz * time_s))
            tone = np.zeros(stop - start)
            phase = chance.uniform(0, 2 * np.pi)
            for harmonic in range(1, _HARMONICS + 1):
                if harmonic * hz < 0.45 * rate:
                    tone += _vowel(harmonic * hz) / harmonic * np.sin(harmonic * (turn + phase))
            fade = min(len(tone) // 3, int(0.08 * rate))
            tone[:fade] *= np.linspace(0, 1, fade)
            tone[-fade:] *= np.linspace(1, 0, fade)
            sung[start:stop] += tone
    return sung


def _vowel(hz: float) -> float:
    return 0.25 + sum(level / (1 + ((hz - middle) / _WIDTH_HZ) ** 2) for middle, level in _FORMANTS)
