"""Bars of a MIDI file: time signatures, the pickup, and measures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from suspirium.score.midi.file import MidiScore
from suspirium.score.midi.grid import Press, snapped_q
from suspirium.score.model import Measure, TimeChange, TimeSignature

COMMON_TIME = TimeSignature(4, 4)
SHORTEST_BAR_Q = Fraction(1, 4)  # a shorter one is a damaged event
CLEARLY = Fraction(5, 4)  # so much heavier must be the downbeats of a guessed pickup


@dataclass(frozen=True, slots=True)
class Metre:
    """Time signatures and barlines, counted from the first note, which is at `start_q`."""

    times: tuple[TimeChange, ...]
    pickup_q: Fraction
    start_q: Fraction
    told: bool
    guessed: bool


def find_metre(score: MidiScore, presses: Sequence[Press]) -> Metre:
    """The metre that the file tells, and the pickup it tells or lets guess.

    A pickup is told by a shorter time signature for one bar, or by silence before the
    first note; else the one with clearly the heaviest downbeats is guessed.
    """
    times = _times(score)
    start_q = min(press.onset_q for press in presses)
    first, rest = times[0], times[1:]
    if rest and rest[0].onset_q == _bar_q(first) < _bar_q(rest[0]) and start_q == 0:
        opening = replace(rest[0], onset_q=Fraction(0))
        return Metre((opening, *rest[1:]), _bar_q(first), start_q, True, False)
    bar_q = Fraction(0)
    for onset_q in _barlines(times, Fraction(0), start_q):
        bar_q = onset_q
    if start_q > bar_q:
        pickup_q = _bar_q(_at(times, bar_q)) - (start_q - bar_q)
        return Metre(_moved(times, start_q), pickup_q, start_q, bool(score.times), False)
    times = _moved(times, start_q)
    pickup_q = _likely_pickup(times[0], presses, start_q) if len(times) == 1 else Fraction(0)
    return Metre(times, pickup_q, start_q, bool(score.times), pickup_q > 0)


def measures(metre: Metre, end_q: Fraction) -> tuple[Measure, ...]:
    """Measures from the first note to `end_q`; the pickup is number 0."""
    starts = [Fraction(0)]
    if 0 < metre.pickup_q < end_q:
        starts.append(metre.pickup_q)
    starts.extend(q for q in _barlines(metre.times, starts[-1], end_q) if starts[-1] < q < end_q)
    first = 0 if metre.pickup_q > 0 else 1
    ends = [*starts[1:], end_q]
    return tuple(
        Measure(first + i, start_q, stop_q - start_q, "final" if stop_q == end_q else "single")
        for i, (start_q, stop_q) in enumerate(zip(starts, ends, strict=True))
    )


def _times(score: MidiScore) -> tuple[TimeChange, ...]:
    found: dict[Fraction, TimeChange] = {}
    for tick, (beats, unit) in score.times:
        onset_q = snapped_q(Fraction(tick, score.ticks_per_quarter))
        if beats > 0 and unit > 0 and Fraction(4 * beats, unit) >= SHORTEST_BAR_Q:
            found[onset_q] = TimeChange(onset_q, TimeSignature(beats, unit))
    ordered = [found[onset_q] for onset_q in sorted(found)]
    if not ordered or ordered[0].onset_q > 0:
        ordered.insert(0, TimeChange(Fraction(0), ordered[0].time if ordered else COMMON_TIME))
    kept = ordered[:1]
    kept += [b for a, b in pairwise(ordered) if a.time != b.time]
    return tuple(kept)


def _bar_q(change: TimeChange) -> Fraction:
    return (change.time or COMMON_TIME).bar_q


def _at(times: Sequence[TimeChange], onset_q: Fraction) -> TimeChange:
    return [change for change in times if change.onset_q <= onset_q][-1]


def _barlines(
    times: Sequence[TimeChange], start_q: Fraction, end_q: Fraction
) -> Iterable[Fraction]:
    """Where bars begin from `start_q` up to `end_q`; a new time signature begins a bar."""
    onset_q = start_q
    while onset_q <= end_q:
        yield onset_q
        now = _at(times, onset_q)
        after_q = onset_q + _bar_q(now)
        changes = [c.onset_q for c in times if onset_q < c.onset_q < after_q]
        onset_q = changes[0] if changes else after_q


def _moved(times: Sequence[TimeChange], start_q: Fraction) -> tuple[TimeChange, ...]:
    """The time signatures counted from `start_q`."""
    first = replace(_at(times, start_q), onset_q=Fraction(0))
    later = (replace(c, onset_q=c.onset_q - start_q) for c in times if c.onset_q > start_q)
    return (first, *later)


def _likely_pickup(change: TimeChange, presses: Sequence[Press], start_q: Fraction) -> Fraction:
    """The length before the heaviest downbeats: there most and longest notes begin.

    Half a bar is never guessed: lines that end on a long note in mid-bar look the same.
    """
    time = change.time or COMMON_TIME
    beat_q = time.bar_q / time.beats
    weight = [Fraction(0)] * time.beats
    for press in presses:
        place, off_beat = divmod((press.onset_q - start_q) % time.bar_q, beat_q)
        if off_beat == 0:
            weight[int(place)] += min(press.end_q - press.onset_q, time.bar_q)
    places = [k for k in range(time.beats) if 2 * k != time.beats]
    best = max(places, key=lambda k: (weight[k], -k))
    return best * beat_q if weight[best] > CLEARLY * weight[0] else Fraction(0)
