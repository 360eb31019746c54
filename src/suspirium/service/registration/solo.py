"""A solo: the melody on one manual, clear above the accompaniment on another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from suspirium.service.organ.feet import octaves
from suspirium.service.organ.loudness import Sound, sound_of, together
from suspirium.service.organ.model import Division, Organ, Stop
from suspirium.service.registration.chorus import Chorus
from suspirium.tables import load

MOST_SOLOS = 6
SOFT = ("flute", "stopped", "string", "principal")


@dataclass(frozen=True, slots=True)
class Solo:
    """Stops for the melody on `over` and for the other voices on `under`."""

    over: Division
    under: Division
    melody: tuple[Stop, ...]
    accompaniment: tuple[Stop, ...]
    cost: float
    sound: Sound  # of the whole
    soft: Sound  # of the accompaniment


def solos(organ: Organ, known: Mapping[str, tuple[Chorus, ...]]) -> list[Solo]:
    """The best solos of an organ; none where it has one manual."""
    found = [
        _solo(over, under, melody, soft)
        for over in organ.manuals
        for under in organ.manuals
        if over is not under and known[over.name]
        for melody in _melodies(over)
        for soft in _accompaniments(under)
    ]
    return sorted(found, key=lambda solo: (solo.cost, solo.over.name))[:MOST_SOLOS]


def _solo(
    over: Division, under: Division, melody: tuple[Stop, ...], soft: tuple[Stop, ...]
) -> Solo:
    table = load("registration")
    high = together(sound_of(stop) for stop in melody)
    low = together(sound_of(stop) for stop in soft)
    away_db = abs(high.level_db - low.level_db - table.number("solo.above_db"))
    cost = table.number("cost.solo") * away_db
    cost += table.number("cost.stop") * (len(melody) + len(soft))
    return Solo(over, under, melody, soft, cost, high + low, low)


def _melodies(division: Division) -> Iterator[tuple[Stop, ...]]:
    """A reed, a principal with its octave, or a cornet built up from 8 foot."""
    eights = [stop for stop in division.stops if stop.is_unison and octaves(stop.foot) == 0]
    for stop in eights:
        if stop.is_reed or stop.family == "principal":
            yield (stop,)
    fours = [s for s in division.stops if s.is_unison and octaves(s.foot) == 1 and not s.is_reed]
    for low, high in ((a, b) for a in eights for b in fours):
        if not low.is_reed and low.family != "celeste":
            yield low, high
            yield from ((low, high, *rest) for rest in _cornets(division))


def _cornets(division: Division) -> Iterator[tuple[Stop, ...]]:
    """What makes a cornet of 8 and 4 foot: third and fifth, with the 2 foot if there is one."""
    tierces = [s for s in division.stops if s.family in ("mutation", "cornet")]
    for stop in tierces:
        if stop.family == "cornet":
            yield (stop,)
    quints = [s for s in tierces if s.family == "mutation" and s.foot * 3 == 8]
    thirds = [s for s in tierces if s.family == "mutation" and s.foot * 5 == 8]
    twos = [s for s in division.stops if s.is_unison and octaves(s.foot) == 2 and not s.is_reed]
    for quint, third in ((a, b) for a in quints for b in thirds):
        for two in twos:
            yield quint, two, third


def _accompaniments(division: Division) -> Iterator[tuple[Stop, ...]]:
    """Soft flues at 8 foot, one or two, or one with a flute at 4 foot."""
    eights = [
        s for s in division.stops if s.family in SOFT and s.is_unison and octaves(s.foot) == 0
    ]
    fours = [
        s
        for s in division.stops
        if s.family in ("flute", "stopped") and s.is_unison and octaves(s.foot) == 1
    ]
    yield from ((stop,) for stop in eights)
    yield from combinations(eights, 2)
    yield from ((low, high) for low in eights for high in fours)
