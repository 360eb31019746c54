"""The practice organ: every key as a steady tone made once from its ranks' spectra."""

from __future__ import annotations

from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class Rank:
    """One rank of pipes: its family, pitch in feet, level in dB and detuning in cents."""

    family: str
    feet: float
    level_db: float = 0.0
    cents: float = 0.0


Ranks = tuple[Rank, ...]


@cache
def usual_ranks(division: str) -> Ranks:
    """What "manual" or "pedal" has drawn where no organ is named."""
    rows = load("organ")[f"{division}.ranks"]
    return tuple(Rank(family, float(feet), db, cents) for family, feet, db, cents in rows)


@cache
def _loop(family: str, frequency_hz: float) -> Signal:
    """Whole periods of one pipe, as many as make about `_LOOP_S` seconds."""
    rate = sample_rate()
    periods = max(1, round(_LOOP_S * frequency_hz))
    length = round(rate * periods / frequency_hz)
    phase = 2.0 * np.pi * periods / length * np.arange(length)
    wave = np.zeros(length)
    limit = min(load("organ").number("cutoff_hz"), rate / 2)
    for index, level_db in enumerate(load("organs")["harmonics_db"][family]):
        harmonic = index + 1
        if harmonic * frequency_hz > limit:
            break
        # Harmonics start at spread phases so that the wave has no needle-sharp peak.
        wave += db_to_gain(level_db) * np.sin(harmonic * phase + 2.4 * index * index)
    return wave.astype(np.float32)


@cache
def _loops(ranks: Ranks, midi: int) -> tuple[Signal, ...]:
    a4_hz, highest_hz = load("organ").number("a4_hz"), load("organs").number("highest_rank_hz")
    loops = []
    for rank in ranks:
        frequency = midi_to_hz(midi, a4_hz) * (8.0 / rank.feet) * 2.0 ** (rank.cents / 1200.0)
        while frequency > highest_hz:  # it breaks back
            frequency /= 2
        loops.append(_loop(rank.family, frequency) * np.float32(db_to_gain(rank.level_db)))
    return tuple(loops)


def steady(ranks: Ranks, midi: int, length: int) -> Signal:
    """`length` samples of a key held, all its ranks together."""
    tone = np.zeros(length, dtype=np.float32)
    for loop in _loops(ranks, midi):
        whole = length // len(loop)
        tone[: whole * len(loop)].reshape(whole, len(loop))[:] += loop
        tone[whole * len(loop) :] += loop[: length - whole * len(loop)]
    return tone


def attack_s(midi: int) -> float:
    """How long a pipe takes to speak, longer in the bass."""
    low, high = load("organ")["attack_s"]
    share = min(1.0, max(0.0, (midi - 36) / 60.0))
    return float(low * (high / low) ** share)
