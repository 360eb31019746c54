"""Single partials of held keys as turning vectors: the sound seen through a narrow window."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from scipy import signal

from suspirium.take.sound.bands import RATE, Array, Floats
from suspirium.units import midi_to_hz

Vectors = npt.NDArray[np.complex128]

STEP = 32  # samples between two looks: 2 ms
STEP_S = STEP / RATE
_HARMONICS = 6
_HIGHEST_HZ = 6000.0
_WINDOWS = ((0.0, 0.1), (250.0, 0.06), (600.0, 0.04))  # from Hz on, seconds
_APART = 0.6  # semitones within which two partials can't be told apart


def partials(keys: Sequence[int], cents: float, without: Sequence[int] = ()) -> Array:
    """Frequencies in Hz of the partials of `keys` that no key of `without` has too.

    With all of them shared, those of `keys` are given back.
    """
    own = frequencies(keys, cents)
    other = frequencies(without, cents)
    if not len(other) or not len(own):
        return own
    apart = np.abs(12 * np.log2(own[:, None] / other[None, :])).min(1) > _APART
    return own[apart] if apart.any() else own


def frequencies(keys: Sequence[int], cents: float) -> Array:
    """Frequencies in Hz of the partials of keys, each once, in order."""
    hz = np.array(
        [
            midi_to_hz(key + cents / 100) * harmonic
            for key in keys
            for harmonic in range(1, _HARMONICS + 1)
        ]
    )
    return np.unique(hz[hz < _HIGHEST_HZ])


def vectors(
    sound: Floats,
    start_s: float,
    stop_s: float,
    hz: Array,
    window_s: float | None = None,
    step: int = STEP,
) -> tuple[Array, Vectors]:
    """Times in seconds, `step` samples apart, and at each the vector of each partial: (times,
    partials).

    A vector stands still while its partial sounds at exactly that frequency. Without
    `window_s`, low partials are looked at through longer windows than high ones.
    """
    first = int(start_s * RATE)
    count = max(1, int((stop_s - start_s) * RATE) // step)
    middles = first + step * np.arange(count)
    found = np.zeros((count, len(hz)), dtype=np.complex128)
    if window_s is not None:
        return middles / RATE, _looks(sound, middles, hz, int(window_s * RATE), step)
    limits = [*(low for low, _ in _WINDOWS[1:]), np.inf]
    for (low, window_s), high in zip(_WINDOWS, limits, strict=True):
        chosen = np.flatnonzero((hz >= low) & (hz < high))
        if len(chosen):
            found[:, chosen] = _looks(sound, middles, hz[chosen], int(window_s * RATE), step)
    return middles / RATE, found


def _looks(
    sound: Floats, middles: npt.NDArray[np.int_], hz: Array, size: int, step: int
) -> Vectors:
    begin = int(middles[0]) - size // 2
    end = int(middles[-1]) - size // 2 + size
    piece = sound[max(0, begin) : max(0, end)].astype(np.float64)
    piece = np.pad(piece, (max(0, -begin), max(0, end - max(0, begin) - len(piece))))
    views = np.lib.stride_tricks.sliding_window_view(piece, size)[::step]
    window = signal.windows.hann(size, sym=False)
    samples = np.arange(size) - size // 2
    turn = window[:, None] * np.exp(-2j * np.pi * samples[:, None] * hz / RATE)
    still = np.exp(-2j * np.pi * middles[:, None] * hz / RATE)
    return np.asarray((views @ turn) * still * (2 / window.sum()))
