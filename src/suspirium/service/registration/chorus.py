"""Choruses of one division: stops that build on 8 foot without a gap."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import ceil, log2

from suspirium.service.organ.feet import harmonic, octaves
from suspirium.service.organ.loudness import Sound, sound_of, together
from suspirium.service.organ.model import Division, Stop
from suspirium.tables import load

BIN_DB = 0.5  # choruses within so much are rivals
RIVALS = 3  # of which so many are kept


@dataclass(frozen=True, slots=True)
class Chorus:
    """Stops of one division with what speaks against them."""

    stops: tuple[Stop, ...]
    cost: float
    sound: Sound


def faults(stops: Sequence[Stop], division: Division) -> Iterator[str]:
    """The rules of chorus building that the stops of one division break, in words."""
    flues = [stop for stop in stops if not stop.is_reed]
    heights = {octaves(stop.foot) for stop in flues if stop.is_unison}
    reeds = {octaves(stop.foot) for stop in stops if stop.is_reed}
    top = max((height for height in heights if height is not None), default=0)
    if 0 not in heights:
        yield "nothing sounds at 8 foot"
    elif any(height not in heights for height in range(top)):
        yield "a pitch is left out"
    if -1 in heights and 1 not in heights:
        yield "16 foot without 4 foot is thick"
    for stop in flues:
        if stop.family == "celeste":
            yield f"{stop.name} is no stop for singing"
        elif not stop.is_unison and not _supported(stop, heights, division):
            yield f"{stop.name} stands without the pitches below it"
    if reeds and not {0, 1} <= heights:
        yield "a reed stands without the flues at 8 and 4 foot"
    if reeds - {0} and 0 not in reeds:
        yield "a reed of another pitch stands without one at 8 foot"
    yield from _crowds(flues)


def _supported(stop: Stop, heights: set[int | None], division: Division) -> bool:
    """Whether the unisons under a mutation or mixture are drawn."""
    if stop.foot > 4:  # a harmonic of 16 foot
        return {-1, 0, 1} <= heights
    needed = {0, 1} if stop.family == "cornet" else set(range(ceil(log2(harmonic(stop.foot)))))
    if stop.family == "mixture":
        needed = {0, 1, *({2} & {octaves(s.foot) for s in division.stops if s.is_unison})}
    return needed <= heights


def _crowds(flues: Iterable[Stop]) -> Iterator[str]:
    most = load("registration")["most.at_pitch"]
    counts = Counter(stop.foot for stop in flues if stop.is_unison)
    for foot, count in counts.items():
        if count > most.get(str(foot), 1):
            yield f"{count} stops at {foot} foot are too many"


def choruses(division: Division) -> tuple[Chorus, ...]:
    """The choruses of a manual, of each loudness the best; every one keeps the rules.

    They are built pitch by pitch from 8 foot; of those alike in loudness only the best go on.
    """
    found = [chorus for stops in _some(division, _eight) if (chorus := _chorus(stops, division))]
    for layer in (_at(1), _at(2), _at(3), _mutation, _mixture, _reed, _at(-1), _other_reed):
        added = [
            chorus
            for one in found
            for more in _some(division, layer)
            if (chorus := _chorus((*one.stops, *more), division))
        ]
        found = best_of([*found, *added])
    return tuple(found)


def _chorus(stops: Sequence[Stop], division: Division) -> Chorus | None:
    if any(faults(stops, division)):
        return None
    order = {stop: place for place, stop in enumerate(division.stops)}
    ordered = tuple(sorted(stops, key=lambda stop: order[stop]))
    return Chorus(ordered, cost_of(ordered), together(sound_of(stop) for stop in ordered))


def best_of(found: Sequence[Chorus]) -> list[Chorus]:
    """Of choruses alike in loudness the best few."""
    bins: dict[int, list[Chorus]] = {}
    for chorus in sorted(found, key=lambda one: (one.cost, [stop.name for stop in one.stops])):
        rivals = bins.setdefault(round(chorus.sound.level_db / BIN_DB), [])
        if len(rivals) < RIVALS:
            rivals.append(chorus)
    return [chorus for rivals in bins.values() for chorus in rivals]


def cost_of(stops: Sequence[Stop]) -> float:
    """What speaks against a chorus that keeps the rules."""
    table = load("registration")
    led = {octaves(s.foot) for s in stops if s.family == "principal"}
    pitches = Counter(stop.foot for stop in stops if stop.is_unison and not stop.is_reed)
    doubled = sum(count - 1 for count in pitches.values())
    strange = sum(
        stop.family in ("string", "mutation", "cornet", "soft reed")
        or (stop.foot > 8 and not stop.is_reed)
        for stop in stops
    )
    return (
        table.number("cost.no_principal") * len({0, 1} - led)
        + table.number("cost.mixed") * doubled
        + table.number("cost.strange") * strange
        + table.number("cost.stop") * len(stops)
    )


Layer = Callable[[Stop], bool]


def _some(division: Division, layer: Layer) -> Iterator[tuple[Stop, ...]]:
    """One, two or three stops of a layer."""
    stops = [stop for stop in division.stops if layer(stop)]
    for count in (1, 2, 3):
        yield from combinations(stops, count)


def _at(height: int) -> Layer:
    return lambda s: s.is_unison and not s.is_reed and octaves(s.foot) == height


_eight = _at(0)


def _mutation(stop: Stop) -> bool:
    return stop.family in ("mutation", "cornet")


def _mixture(stop: Stop) -> bool:
    return stop.family == "mixture"


def _reed(stop: Stop) -> bool:
    return stop.is_reed and octaves(stop.foot) == 0


def _other_reed(stop: Stop) -> bool:
    return stop.is_reed and octaves(stop.foot) != 0
