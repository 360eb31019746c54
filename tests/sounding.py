"""An invented organ in an invented room: takes as sound, unlike the project's own organ.

Each pipe is a little out of tune, speaks with its own attack and has its own spectrum; the
room is a diffuse exponential decay behind a direct sound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from suspirium.take.model import TakeNote

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Hall:
    """What the sound goes through. `direct` is the amplitude of the direct sound against the
    whole reverberation's; noise is below the music's level."""

    rt_s: float = 2.0
    direct: float = 0.45
    noise_db: float = -38.0
    wind: float = 0.0  # depth of a slow unsteadiness of pitch, in cents
    chiff: float = 0.0  # speech noise of the pipes
    seed: int = 0


def sound(notes: Sequence[TakeNote], hall: Hall, rate: int = 16000, lead_s: float = 1.0) -> Array:
    """The take heard in the hall, mono, peak 0.5; the first note begins after `lead_s`."""
    return in_hall(dry_sound(notes, hall, rate, lead_s), hall, rate)


def dry_sound(
    notes: Sequence[TakeNote], hall: Hall, rate: int = 16000, lead_s: float = 1.0
) -> Array:
    """The organ without its hall, long enough for the hall's decay after it."""
    chance = np.random.default_rng(hall.seed)
    first_s = min(note.onset_s for note in notes)
    length_s = max(note.release_s for note in notes) - first_s + lead_s + hall.rt_s + 1.0
    dry = np.zeros(int(length_s * rate))
    pipes: dict[int, tuple[Array, Array]] = {}
    wind = np.zeros(len(dry) + 1)
    if hall.wind:
        steps = np.interp(
            np.arange(len(dry) + 1),
            np.arange(0, len(dry) + rate, rate // 2),
            chance.standard_normal(len(range(0, len(dry) + rate, rate // 2))),
        )
        wind = np.cumsum(2 ** (hall.wind * steps / 1200) - 1)
    for note in notes:
        start = int((note.onset_s - first_s + lead_s) * rate)
        end = int((note.release_s - first_s + lead_s) * rate)
        if note.midi not in pipes:
            ranks = (0, 12, 19) if note.midi > 47 else (-12, 0)
            cents = chance.normal(0, 2.0, len(ranks))
            hz = 440 * 2 ** ((note.midi + np.array(ranks) - 69 + cents / 100) / 12)
            powers = 1 / (1 + np.arange(7)) ** chance.uniform(0.8, 1.6, (len(ranks), 1))
            harmonics = (hz[:, None] * (1 + np.arange(7))).ravel()
            weights = (powers * chance.uniform(0.5, 1, powers.shape)).ravel()
            weights[len(weights) // len(ranks) :] *= 0.4
            keep = harmonics < 0.45 * rate
            pipes[note.midi] = harmonics[keep], weights[keep]
        harmonics, weights = pipes[note.midi]
        rise = int(rate * np.clip(0.05 * 2 ** ((48 - note.midi) / 24), 0.012, 0.08))
        fall = int(0.03 * rate)
        samples = np.arange(start, min(len(dry), end + fall))
        turn = samples + wind[samples]
        phase = chance.uniform(0, 2 * np.pi, len(harmonics))
        tone = np.zeros(len(samples))
        for one, weight, angle in zip(harmonics, weights, phase, strict=True):
            tone += weight * np.sin(2 * np.pi * one / rate * turn + angle)
        envelope = np.minimum(1, (samples - start) / rise) * np.clip(
            (end + fall - samples) / fall, 0, 1
        )
        dry[samples] += tone * envelope
        if hall.chiff:
            speech = chance.standard_normal(min(len(samples), rise * 2))
            dry[samples[: len(speech)]] += hall.chiff * speech * np.hanning(len(speech))
    return dry


def in_hall(
    dry: Array,
    hall: Hall,
    rate: int = 16000,
    response: Array | None = None,
    beside: Array | None = None,
) -> Array:
    """Dry sound in the hall, peak 0.5: through a `response` if one is given, else through a
    diffuse decay. `beside` is other sound there as it is heard, its level included."""
    from scipy.signal import fftconvolve

    chance = np.random.default_rng(hall.seed + 1)
    if response is None:
        response = diffuse(hall, rate, chance)
    wet = fftconvolve(dry, response)[: len(dry)]
    if beside is not None:
        wet += beside[: len(wet)]
    loud = np.sqrt(np.mean(wet**2))
    wet += chance.standard_normal(len(wet)) * loud * 10 ** (hall.noise_db / 20)
    return wet * 0.5 / np.abs(wet).max()


def diffuse(hall: Hall, rate: int, chance: np.random.Generator) -> Array:
    """The response of a wholly diffuse hall: a direct sound, then noise that decays evenly."""
    time_s = np.arange(int(hall.rt_s * rate)) / rate
    tail = chance.standard_normal(len(time_s)) * 10 ** (-3 * time_s / hall.rt_s)
    tail /= np.sqrt((tail**2).sum())
    tail[0] += hall.direct
    return tail
