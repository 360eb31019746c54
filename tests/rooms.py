"""Invented churches, their sound computed by pyroomacoustics (MIT licence): image sources
for the early reflections, traced rays for the late ones, walls that take the high notes
sooner than the low ones. Nothing of it is this project's."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

_MIDDLES_HZ = [125, 250, 500, 1000, 2000, 4000]
_UNEVEN = [0.7, 0.85, 1.0, 1.1, 1.25, 1.4]  # stone and plaster with people: more above
_EARLY = 8  # reflections followed one by one
_RAYS = 8000


@dataclass(frozen=True)
class Church:
    """A hall of stone: length, width and height in metres, how much its walls take at 500 Hz,
    and how far from the organ the microphone stands."""

    size_m: tuple[float, float, float] = (24.0, 12.0, 9.0)
    takes: float = 0.12
    away_m: float = 6.0


@cache
def response(church: Church, rate: int = 16000) -> Array:
    """The impulse response from the organ, high at one end, to the microphone, from the
    direct sound's arrival on."""
    import pyroomacoustics

    takes = [min(0.95, church.takes * share) for share in _UNEVEN]
    walls = pyroomacoustics.Material(
        {"coeffs": takes, "center_freqs": _MIDDLES_HZ, "description": "stone"}
    )
    np.random.seed(1)  # rays are thrown by numpy's own chance
    room = pyroomacoustics.ShoeBox(
        church.size_m,
        fs=rate,
        materials=walls,
        max_order=_EARLY,
        ray_tracing=True,
        air_absorption=True,
    )
    room.set_ray_tracing(n_rays=_RAYS, receiver_radius=0.5)
    _, width_m, height_m = church.size_m
    room.add_source([1.5, width_m * 0.46, height_m * 0.55])
    room.add_microphone([1.5 + church.away_m, width_m * 0.55, 1.6])
    room.compute_rir()
    heard = np.asarray(room.rir[0][0], dtype=np.float64)
    return heard[int(np.argmax(np.abs(heard) > 0.1 * np.abs(heard).max())) :]


def reverberation_s(heard: Array, rate: int = 16000) -> float:
    """T30 by Schroeder's backward integration (ISO 3382-1: -5 to -35 dB, times two)."""
    left = np.cumsum(heard[::-1] ** 2)[::-1]
    level = 10 * np.log10(left / left[0] + 1e-15)
    start, stop = (int(np.argmax(level < db)) for db in (-5, -35))
    slope = np.polyfit(np.arange(start, stop) / rate, level[start:stop], 1)[0]
    return float(-60 / slope)


def direct_db(heard: Array, rate: int = 16000) -> float:
    """Level of the first 5 ms against all that follows."""
    first = int(0.005 * rate)
    return float(10 * np.log10((heard[:first] ** 2).sum() / (heard[first:] ** 2).sum()))
