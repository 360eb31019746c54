"""The practice organ: every key as a steady tone made once from its ranks' spectra."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from suspirium.tables import load
from suspirium.units import midi_to_hz

Signal = NDArray[np.float32]

_LOOP_S = 0.35  # a loop of whole periods this long is in tune to a tenth of a cent


def sample_rate() -> int:
    """Samples a second of everything that sounds here."""
    return int(load("organ")["sample_rate_hz"])


def db_to_gain(level_db: float) -> float:
    """Amplitude ratio of a level: 10^(dB / 20)."""
    return float(10.0 ** (level_db / 20.0))


@cache
def _loop(family: str, frequency_hz: float) -> Signal:
    """Whole periods of one pipe, as many as make about `_LOOP_S` seconds."""
    table = load("organ")
    rate = sample_rate()
    periods = max(1, round(_LOOP_S * frequency_hz))
    length = round(rate * periods / frequency_hz)
    phase = 2.0 * np.pi * periods / length * np.arange(length)
    wave = np.zeros(length)
    limit = min(table.number("cutoff_hz"), rate / 2)
    for index, level_db in enumerate(table[f"{family}.harmonics_db"]):
        harmonic = index + 1
        if harmonic * frequency_hz > limit:
            break
        # Harmonics start at spread phases so that the wave has no needle-sharp peak.
        wave += db_to_gain(level_db) * np.sin(harmonic * phase + 2.4 * index * index)
    return wave.astype(np.float32)


@cache
def _rank_loops(division: str, midi: int) -> tuple[Signal, ...]:
    table = load("organ")
    loops = []
    for family, foot, level_db, cents in table[f"{division}.ranks"]:
        harmonic = 8.0 / float(foot)
        frequency = midi_to_hz(midi, table.number("a4_hz")) * harmonic * 2.0 ** (cents / 1200.0)
        loops.append(_loop(family, frequency) * np.float32(db_to_gain(level_db)))
    return tuple(loops)


def steady(division: str, midi: int, length: int) -> Signal:
    """`length` samples of a key held on "manual" or "pedal", all its ranks together."""
    tone = np.zeros(length, dtype=np.float32)
    for loop in _rank_loops(division, midi):
        whole = length // len(loop)
        tone[: whole * len(loop)].reshape(whole, len(loop))[:] += loop
        tone[whole * len(loop) :] += loop[: length - whole * len(loop)]
    return tone


def attack_s(midi: int) -> float:
    """How long a pipe takes to speak, longer in the bass."""
    low, high = load("organ")["attack_s"]
    share = min(1.0, max(0.0, (midi - 36) / 60.0))
    return float(low * (high / low) ** share)
