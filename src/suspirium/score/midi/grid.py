"""From ticks to exact score time: onsets and lengths on a grid of eighths and triplets."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.midi.file import MidiScore

DIVISIONS = (1, 2, 3, 4, 6, 8)  # parts of a quarter, the plainest first
NEAR_Q = Fraction(1, 32)  # so near to a plain division, a time is meant to be on it
JOIN_Q = Fraction(1, 4)  # a silence up to this before the next note is articulation
JOIN_SHARE = Fraction(2, 5)  # or up to this share of the note


@dataclass(frozen=True, slots=True)
class Press:
    """One key in exact score time; `number` tells presses apart."""

    onset_q: Fraction
    end_q: Fraction
    pitch: int
    stream: tuple[int, int]
    number: int


def snapped_q(time_q: Fraction) -> Fraction:
    """The plainest place near `time_q`, else the nearest one on the finest grids."""
    places = [Fraction(round(time_q * parts), parts) for parts in DIVISIONS]
    for place in places:
        if abs(place - time_q) <= NEAR_Q:
            return place
    return min(places, key=lambda place: abs(place - time_q))


def on_grid(score: MidiScore) -> tuple[list[Press], Fraction]:
    """All keys in score time, and how far the farthest onset was from the grid.

    A key that comes up shortly before the next one goes down is held until then, a last
    key until the next whole quarter.
    """
    unit_q = Fraction(1, score.ticks_per_quarter)
    onset_of = {key.onset: snapped_q(key.onset * unit_q) for key in score.keys}
    farthest_q = max(abs(place - tick * unit_q) for tick, place in onset_of.items())
    onsets = sorted(set(onset_of.values()))
    presses = []
    for number, key in enumerate(score.keys):
        onset_q = onset_of[key.onset]
        end_q = _end_q(onset_q, snapped_q(key.end * unit_q), onsets)
        presses.append(Press(onset_q, end_q, key.pitch, key.stream, number))
    return _without_doubles(presses), farthest_q


def _end_q(onset_q: Fraction, end_q: Fraction, onsets: Sequence[Fraction]) -> Fraction:
    end_q = max(end_q, onset_q + Fraction(1, 8))
    after = bisect_left(onsets, end_q)
    next_q = onsets[after] if after < len(onsets) else Fraction(-(-end_q // 1))
    if next_q - end_q <= max(JOIN_Q, JOIN_SHARE * (end_q - onset_q)):
        return next_q
    return end_q


def _without_doubles(presses: list[Press]) -> list[Press]:
    """One press where several streams press the same key together (the longest)."""
    longest: dict[tuple[Fraction, int, tuple[int, int]], Press] = {}
    for press in presses:
        place = (press.onset_q, press.pitch, press.stream)
        if place not in longest or longest[place].end_q < press.end_q:
            longest[place] = press
    return list(longest.values())
