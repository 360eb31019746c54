"""The parts of a passage in the trade's order, and what each is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from suspirium.practice.model import Part, Passage, Player, Way
from suspirium.practice.settings import Learning
from suspirium.tables import load

_PLAYERS: Mapping[Way, frozenset[Player]] = {
    "all": frozenset(("tune", "right", "left", "pedal")),
    "manuals": frozenset(("tune", "right", "left")),
    "tune and bass": frozenset(("tune", "right", "left")),
}


@dataclass(frozen=True, slots=True)
class Ladder:
    """The parts of one passage as they are learnt.

    `sources` are, for each part, the indices of the parts it is put together from (fewer by
    one player), `transfer` how far those ready it, `before` the parts that must be easy
    before it is practised, `demand` its own relative demand.
    """

    parts: tuple[Part, ...]
    sources: tuple[tuple[int, ...], ...]
    transfer: tuple[float, ...]
    before: tuple[tuple[int, ...], ...]
    demand: tuple[float, ...]
    seconds: float

    @property
    def whole(self) -> int:
        """The index of the part in which all play."""
        return len(self.parts) - 1


@cache
def parts_of(way: Way, playing: frozenset[Player]) -> tuple[Part, ...]:
    """All parts of a passage in which these play, in the trade's order."""
    able = _PLAYERS[way] & (playing | {"tune"})
    order = tuple(tuple(text.split()) for text in load("practice")["order.parts"])
    return tuple(part for part in order if set(part) <= able)


def ladder(passage: Passage, way: Way, learning: Learning) -> Ladder:
    """The ladder of `passage`, as the hymn is to be played."""
    playing = frozenset(player for player, demand in passage.demand.items() if demand > 0)
    parts = parts_of(way, playing)
    sources = tuple(_sources(part, parts) for part in parts)
    return Ladder(
        parts=parts,
        sources=sources,
        transfer=tuple(_transfer(part, learning) for part in parts),
        before=tuple(_before(part, parts) for part in parts),
        demand=tuple(_demand(part, passage, learning) for part in parts),
        seconds=passage.seconds,
    )


def _sources(part: Part, parts: tuple[Part, ...]) -> tuple[int, ...]:
    if part == ("right",):
        return (parts.index(("tune",)),)
    fewer = [i for i, p in enumerate(parts) if set(p) < set(part) and len(p) == len(part) - 1]
    return tuple(fewer)


def _before(part: Part, parts: tuple[Part, ...]) -> tuple[int, ...]:
    """Words and melody come before each player alone, and those before they play together."""
    if len(part) == 1:
        return (parts.index(("tune",)),) if part != ("tune",) else ()
    return _sources(part, parts)


def _transfer(part: Part, learning: Learning) -> float:
    if part == ("right",):
        return learning.tune
    return learning.pedal if "pedal" in part else learning.hands


def _demand(part: Part, passage: Passage, learning: Learning) -> float:
    points = sum(passage.demand.get(player, 0.0) for player in part)
    if len(part) > 1:
        points *= learning.together
    return max(learning.least_demand, points / learning.demand)
