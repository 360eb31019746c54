"""The room's sound: an exponential decay of noise, convolved block by block."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from suspirium.render.organ import Signal, db_to_gain, sample_rate
from suspirium.room import Room
from suspirium.tables import load

_BLOCK = 1 << 18
_SEED = 1577  # any fixed number: the same room sounds the same every time


def impulse(room: Room) -> NDArray[np.float32]:
    """The room's response, shape (2, samples): direct sound, then a diffuse decay.

    The decay falls by 60 dB in `room.rt_s` (ISO 3382-1), its treble sooner.
    """
    table = load("organ")
    rate = sample_rate()
    length = max(rate // 10, int(room.rt_s * rate))
    time_s = np.arange(length) / rate
    generator = np.random.default_rng(_SEED)
    noise = generator.standard_normal((2, length))
    low = _smoothed(noise)
    treble_rt_s = room.rt_s * table.number("room.treble_share")
    tail = low * _decay(time_s, room.rt_s) + (noise - low) * 0.5 * _decay(time_s, treble_rt_s)
    tail *= 1.0 - np.exp(-time_s / 0.012)  # the room answers a moment later
    tail *= db_to_gain(table.number("room.wet_db")) / np.sqrt(
        np.sum(tail**2, axis=1, keepdims=True)
    )
    tail[:, 0] += 1.0
    return tail.astype(np.float32)


def _decay(time_s: NDArray[np.float64], rt_s: float) -> NDArray[np.float64]:
    return np.asarray(10.0 ** (-3.0 * time_s / rt_s))


def _smoothed(noise: NDArray[np.float64]) -> NDArray[np.float64]:
    """The noise without its treble: a running mean of nine samples, twice."""
    kernel = np.convolve(np.ones(9), np.ones(9)) / 9.0**1.5
    return np.stack([np.convolve(channel, kernel, mode="same") for channel in noise])


def in_room(dry: Signal, room: Room) -> Iterator[NDArray[np.float32]]:
    """A mono signal heard in `room`, block after block of shape (n, 2), the tail included.

    Overlap-add convolution: only a block and its tail are in memory at a time.
    """
    response = impulse(room)
    tail = response.shape[1] - 1
    size = _BLOCK
    while size < 2 * response.shape[1]:
        size *= 2
    hop = size - tail
    spectrum = np.fft.rfft(response, size, axis=1).astype(np.complex64)
    left_over = np.zeros((2, tail), dtype=np.float32)
    for start in range(0, len(dry), hop):
        block = np.fft.rfft(dry[start : start + hop], size)
        wet = np.fft.irfft(spectrum * block, size, axis=1).astype(np.float32, copy=False)
        wet[:, :tail] += left_over
        done = min(hop, len(dry) - start)
        left_over = wet[:, done : done + tail].copy()
        yield wet[:, :done].T
    yield left_over.T
