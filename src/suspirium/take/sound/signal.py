"""Recordings of any common rate and number of channels as mono at the rate used here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import gcd

import numpy as np
from scipy.signal import resample_poly

from suspirium.errors import TakeError
from suspirium.take.sound.bands import RATE, Floats

LOWEST_RATE, HIGHEST_RATE = 8_000, 192_000
_OVERLAP_S = 0.05  # beyond the reach of the resampling filter


def mono(blocks: Iterable[Floats], rate: int, frames: int = 0) -> Floats:
    """Blocks of sound, (samples, channels), as one mono row at `RATE`.

    Blocks are resampled one by one with their neighbours' edges into a row that is long enough
    for so many `frames`: memory holds little more than is kept. Raises `TakeError` for rates
    outside 8 to 192 kHz.
    """
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        raise TakeError(f"the recording has {rate} samples a second; 8000 to 192000 can be read")
    shared = gcd(RATE, rate)
    up, down = RATE // shared, rate // shared
    row = np.empty(-(-frames * up // down), dtype=np.float32)
    filled = 0
    for piece in _resampled(_mixed(blocks), up, down, rate):
        if filled + len(piece) > len(row):  # more than was said
            longer = np.empty(2 * (filled + len(piece)), dtype=np.float32)
            longer[:filled] = row[:filled]
            row = longer
        row[filled : filled + len(piece)] = piece
        filled += len(piece)
    return row[:filled]


def _mixed(blocks: Iterable[Floats]) -> Iterator[Floats]:
    for block in blocks:
        if len(block):
            yield np.nan_to_num(block.mean(axis=1) if block.ndim > 1 else block)


def _resampled(blocks: Iterable[Floats], up: int, down: int, rate: int) -> Iterator[Floats]:
    """Each block between the edges of its neighbours; `down` samples become `up`."""
    edge = -(-int(_OVERLAP_S * rate) // down) * down
    before = np.zeros(0, dtype=np.float32)
    waiting = np.zeros(0, dtype=np.float32)
    for block in blocks:
        waiting = np.concatenate([waiting, block])
        ready = (len(waiting) - edge) // down * down
        if ready <= 0:
            continue
        yield _piece(before, waiting[:ready], waiting[ready : ready + edge], up, down)
        before = np.concatenate([before, waiting[:ready]])[-edge:] if edge else before
        waiting = waiting[ready:]
    if len(waiting):
        yield _piece(before, waiting, np.zeros(0, dtype=np.float32), up, down)


def _piece(before: Floats, block: Floats, after: Floats, up: int, down: int) -> Floats:
    skip = len(before) // down * down
    before = before[len(before) - skip :]
    whole = resample_poly(np.concatenate([before, block, after]), up, down)
    start = skip // down * up
    length = -(-len(block) * up // down)
    return np.asarray(whole[start : start + length], dtype=np.float32)
