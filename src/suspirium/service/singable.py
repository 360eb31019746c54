"""A melody's range and tessitura, and how much they strain the people who sing it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from suspirium.score.pitch import spelled
from suspirium.score.sounding import Tone

TENTH = 0.1
WORTH_TELLING = 0.5  # semitones of the mean beyond the limits


@dataclass(frozen=True, slots=True)
class Limits:
    """What people can sing, in MIDI keys: lowest and highest note, where the mean may lie,
    and what share of the time may be spent above `high_from`."""

    low: int
    high: int
    mean_low: float
    mean_high: float
    high_from: int
    high_share: float


@dataclass(frozen=True, slots=True)
class Range:
    """A melody's compass: for each MIDI key the share of the time that it sounds."""

    shares: tuple[tuple[int, float], ...]

    @property
    def low(self) -> int:
        """The lowest key."""
        return self.shares[0][0]

    @property
    def high(self) -> int:
        """The highest key."""
        return self.shares[-1][0]

    @property
    def mean(self) -> float:
        """The mean, weighed by time."""
        return sum(midi * share for midi, share in self.shares)

    def above(self, midi: int) -> float:
        """Share of the time spent above a key."""
        return sum(share for key, share in self.shares if key > midi)

    def moved(self, semitones: int) -> Range:
        """The range in another key."""
        return replace(self, shares=tuple((midi + semitones, s) for midi, s in self.shares))

    def strain(self, limits: Limits) -> Mapping[str, float]:
        """How far the melody goes beyond the limits, by the rows under ``cost`` of the table."""
        mean = self.mean
        return {
            "top": max(0.0, self.high - limits.high),
            "above": self.above(limits.high) / TENTH,
            "bottom": max(0.0, limits.low - self.low),
            "tessitura": max(0.0, mean - limits.mean_high, limits.mean_low - mean),
            "high": max(0.0, self.above(limits.high_from) - limits.high_share) / TENTH,
        }

    def faults(self, limits: Limits, fifths: int) -> Iterator[str]:
        """What strains in a key of `fifths` sharps, in words that follow "because"."""
        if self.high > limits.high:
            yield f"the top note {name(self.high, fifths)} is high"
        if self.low < limits.low:
            yield f"the lowest note {name(self.low, fifths)} is low"
        if self.above(limits.high_from) > limits.high_share:
            share = self.above(limits.high_from)
            yield f"{share:.0%} of the time lies above {name(limits.high_from)}"
        if self.mean > limits.mean_high + WORTH_TELLING:
            yield "the tune lies high on the whole"
        elif self.mean < limits.mean_low - WORTH_TELLING:
            yield "the tune lies low on the whole"

    def words(self, limits: Limits, fifths: int) -> str:
        """The range in words, in a key of `fifths` sharps."""
        share = self.above(limits.high_from)
        time = f"{share:.0%} of the time" if share >= TENTH / 20 else "none of the time"
        compass = f"the tune goes from {name(self.low, fifths)} to {name(self.high, fifths)}"
        return f"{compass}, {time} above {name(limits.high_from)}"


def range_of(melody: Sequence[Tone]) -> Range:
    """The range of a melody with at least one tone."""
    lengths: dict[int, float] = {}
    for tone in melody:
        lengths[tone.pitch.midi] = lengths.get(tone.pitch.midi, 0.0) + float(tone.duration_q)
    total = sum(lengths.values())
    return Range(tuple((midi, lengths[midi] / total) for midi in sorted(lengths)))


def name(midi: int, fifths: int = -1) -> str:
    """A note's name in a key of `fifths` sharps: "B♭3"."""
    return str(spelled(midi, fifths))
