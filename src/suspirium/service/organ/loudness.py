"""How loud and how bright stops are together: their ranks' powers add up.

Levels are A-weighted (IEC 61672-1), so that deep ranks count as little as the ear hears of
them. They compare registrations of one organ; no pipe was measured.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import log2, log10

from suspirium.service.organ.feet import harmonic
from suspirium.service.organ.model import Stop
from suspirium.service.organ.pipes import pipe_hz
from suspirium.tables import load
from suspirium.units import midi_to_hz

_AUDIBLE_HZ = 20.0


@dataclass(frozen=True, slots=True)
class Sound:
    """Powers re a principal of 8 foot: as heard (A-weighted) and `plain`, unweighted.

    `octaves` is the sum over all partials of their heard power times their octaves above the
    keys' own pitch.
    """

    power: float
    octaves: float
    plain: float

    @property
    def level_db(self) -> float:
        """Level in dB(A) at 10 m."""
        return load("organs").number("reference_dba") + 10 * log10(self.power)

    @property
    def brightness(self) -> float:
        """Mean height of what is heard, in octaves above the keys' own pitch."""
        return self.octaves / self.power

    def __add__(self, other: Sound) -> Sound:
        return Sound(
            self.power + other.power, self.octaves + other.octaves, self.plain + other.plain
        )

    def softened(self, by_db: float) -> Sound:
        """The same sound with its level changed by `by_db`."""
        factor = 10 ** (by_db / 10)
        return Sound(self.power * factor, self.octaves * factor, self.plain * factor)


SILENCE = Sound(0.0, 0.0, 0.0)


def together(sounds: Iterable[Sound]) -> Sound:
    """The sum of sounds."""
    return sum(sounds, SILENCE)


@cache
def sound_of(stop: Stop, *, pedal: bool = False) -> Sound:
    """What a stop sounds where hymns lie on the keyboard."""
    keys = load("organs")["keys.pedal" if pedal else "keys.manual"]
    found = together(_rank(stop.family, feet, key) for feet in stop.feet for key in keys)
    scale = len(keys) * _principal_power()
    return Sound(found.power / scale, found.octaves / scale, found.plain / len(keys))


@cache
def _principal_power() -> float:
    keys = load("organs")["keys.manual"]
    return together(_rank("principal", Fraction(8), key) for key in keys).power / len(keys)


def _rank(family: str, feet: Fraction, key: int) -> Sound:
    """The A-weighted sound of one pipe."""
    level_db = load("organs")["level_db"][family] + voicing_db(feet)
    harmonics = load("organs")["harmonics_db"][family]
    whole = sum(10 ** (db / 10) for db in harmonics)
    parts = []
    for number, hz in _partials(feet, key, len(harmonics)):
        db = level_db + harmonics[number - 1] + a_weighting_db(hz)
        power = 10 ** (db / 10) / whole
        plain = 10 ** ((level_db + harmonics[number - 1]) / 10) / whole
        parts.append(Sound(power, power * log2(hz / midi_to_hz(key)), plain))
    return together(parts)


def voicing_db(feet: Fraction) -> float:
    """What a rank above 8 foot is voiced softer than one at 8 foot."""
    above = max(0.0, log2(harmonic(feet)))
    return load("organs").number("voicing_db") * above


def _partials(feet: Fraction, key: int, count: int) -> Iterator[tuple[int, float]]:
    """Numbers and frequencies of a pipe's partials; a rank that is too high breaks back."""
    base = pipe_hz(feet, key)
    while base > load("organs").number("highest_rank_hz"):
        base /= 2
    highest = load("organ").number("cutoff_hz")
    for number in range(1, count + 1):
        if _AUDIBLE_HZ <= number * base <= highest:
            yield number, number * base


def a_weighting_db(hz: float) -> float:
    """The A-weighting of IEC 61672-1, 0 dB at 1 kHz."""
    return _weighed_db(hz) - _weighed_db(1000.0)


def _weighed_db(hz: float) -> float:
    f2 = hz * hz
    low, first, second, high = load("organs")["a_weighting_hz"]
    gain = (high**2 * f2 * f2) / (
        (f2 + low**2) * ((f2 + first**2) * (f2 + second**2)) ** 0.5 * (f2 + high**2)
    )
    return float(20 * log10(gain))
