"""Sound as energy in semitone bands over time, the room's decay taken out.

Arrays are (frames, bands); band b is the MIDI key `LOWEST` + b. A frame is the middle of
its windows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import signal

from suspirium.units import midi_to_hz

Array = npt.NDArray[np.float64]
Floats = npt.NDArray[np.float32]

RATE = 16000  # samples a second of everything here: organ partials above 7 kHz tell little
HOP = 320  # 20 ms
LOWEST, BANDS = 34, 76  # up to MIDI 109
_WINDOWS = ((4096, 34, 55), (2048, 55, 70), (1024, 70, 110))  # samples, from key, below key
_BLOCK = 1024  # frames at a time, so that memory stays flat
FRAME_S = HOP / RATE
_OVER_NOISE_DB = 6.0
_LEAST_FALL_DB = 6.0
_MOST_FALLS = 8
_SKIP = 4  # frames after a release in which the direct sound goes


def band_energies(sound: Floats, tuning_cents: float = 0.0) -> Floats:
    """Energy of each semitone band in each frame, shape (frames, BANDS).

    Low bands are read in long windows, high ones in short. `tuning_cents` is how far the
    instrument lies above A = 440 Hz.
    """
    frames = len(sound) // HOP + 1
    energies = np.zeros((frames, BANDS), dtype=np.float32)
    for size, low, high in _WINDOWS:
        window = signal.windows.hann(size, sym=False)
        filters = _filters(size, low, high, tuning_cents)
        scale = 1.0 / (window**2).sum()
        for start in range(0, frames, _BLOCK):
            stop = min(frames, start + _BLOCK)
            power = _power(sound, start, stop, window)
            energies[start:stop, low - LOWEST : high - LOWEST] = (power @ filters) * scale
    return energies


def _power(sound: Floats, start: int, stop: int, window: Array) -> Array:
    """Power spectra of frames `start` to `stop`; beyond the sound there is silence."""
    size = len(window)
    first = start * HOP - size // 2
    last = (stop - 1) * HOP + size // 2
    piece = sound[max(0, first) : max(0, last)]
    piece = np.pad(piece, (max(0, -first), max(0, last - max(0, first) - len(piece))))
    views = np.lib.stride_tricks.sliding_window_view(piece, size)[::HOP][: stop - start]
    spectrum = np.fft.rfft(views * window, axis=1)
    return np.asarray(spectrum.real**2 + spectrum.imag**2)


def _filters(size: int, low: int, high: int, tuning_cents: float) -> Array:
    """Triangles a semitone wide to either side (never narrower than the window tells apart)."""
    hz = np.fft.rfftfreq(size, 1 / RATE)
    keys = np.arange(low, high)
    middle = np.array([midi_to_hz(key + tuning_cents / 100) for key in keys])
    reach = np.maximum(middle * (2 ** (1 / 12) - 1), 1.5 * RATE / size)
    return np.asarray(np.clip(1 - np.abs(hz[:, None] - middle) / reach, 0, None))


def tuning(sound: Floats) -> float:
    """Cents above A = 440 Hz at which the partials stand, from -50 to 50.

    The peaks of long spectra vote with their level by their distance from the nearest key.
    """
    size = 16384
    window = signal.windows.hann(size, sym=False)
    votes = np.zeros(100)
    for start in np.linspace(0, max(0, len(sound) - size), 60).astype(int):
        piece = sound[start : start + size]
        if len(piece) < size:
            continue
        spectrum = np.abs(np.fft.rfft(piece * window))
        peaks, _ = signal.find_peaks(spectrum, height=0.05 * spectrum.max() + 1e-9)
        peaks = peaks[(peaks > 1) & (peaks < len(spectrum) - 1)]
        a, b, c = (np.log(spectrum[peaks + i] + 1e-12) for i in (-1, 0, 1))
        hz = (peaks + 0.5 * (a - c) / (a - 2 * b + c)) * RATE / size
        good = (hz > 100) & (hz < 2000)
        cents = 1200 * np.log2(hz[good] / 440.0)
        np.add.at(votes, np.floor(cents % 100).astype(int) % 100, np.sqrt(spectrum[peaks][good]))
    turn = np.exp(2j * np.pi * (np.arange(100) + 0.5) / 100)
    return float(np.angle((votes * turn).sum()) / (2 * np.pi) * 100)


@dataclass(frozen=True, slots=True)
class Drive:
    """What the pipes give to each band in each frame, and the decay that was taken out."""

    power: Floats
    rt_s: float


def without_room(energies: Floats, rt_s: float) -> Drive:
    """The energy put into each band: what is there less what was left of the frame before.

    In a diffuse room energy falls by 60 dB in `rt_s`, so a held tone needs the constant
    share that is lost each frame, and a dying one nothing.
    """
    left = 10 ** (-6 * FRAME_S / rt_s)
    given = np.zeros_like(energies)
    given[1:] = np.maximum(0, energies[1:] - left * energies[:-1]) / (1 - left)
    return Drive(given, rt_s)


def reverberation(energies: Floats) -> float:
    """Reverberation time from the longest falls of a take, in seconds.

    The whole level is followed from each peak to the next rise; of the falls that go
    deepest (after the last chord, in stanza gaps) the middle slope is the room's. 1 second
    where nothing falls by 6 dB.
    """
    level = 10 * np.log10(np.convolve(energies.sum(1), np.ones(3) / 3, mode="same") + 1e-12)
    floor = float(np.percentile(level, 1)) + _OVER_NOISE_DB
    falls = sorted(_falls(level, floor), key=lambda fall: -fall[0])[:_MOST_FALLS]
    if not falls:
        return 1.0
    deepest = falls[0][0]
    slopes = [slope for depth, slope in falls if depth > 0.4 * deepest]
    return float(np.clip(60 / np.median(slopes), 0.25, 10))


def _falls(level: Array, floor: float) -> list[tuple[float, float]]:
    """(depth in dB, slope in dB a second) of every fall of 6 dB and more above `floor`."""
    found = []
    start = 0
    for t in range(1, len(level) + 1):
        if t < len(level) and level[t] < level[t - 1]:
            continue
        piece = level[start:t]
        piece = piece[piece > floor]
        if len(piece) > _SKIP + 2 and piece[_SKIP] - piece[-1] > _LEAST_FALL_DB:
            slope = (piece[_SKIP] - piece[-1]) / ((len(piece) - 1 - _SKIP) * FRAME_S)
            found.append((float(piece[_SKIP] - piece[-1]), float(slope)))
        start = t
    return found
