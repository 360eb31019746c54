"""An `Order`: what happens in a service, one moment after another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time

PRINTED, PROPOSED = "printed", "proposed"
BEST = 1


@dataclass(frozen=True, slots=True)
class HymnMoment:
    """A hymn as it is sung in this service.

    `hymn` names a score file or a hymn of the library. `stanzas` are those sung, empty for
    all. `introduction` is the number of the proposal to play, best first, 0 for none. `key`
    is "printed", "proposed" or semitones up. `characters` are the organist's own, by stanza.
    """

    hymn: str
    place: str = "middle"
    stanzas: tuple[int, ...] = ()
    introduction: int = BEST
    key: str | int = PRINTED
    amen: bool = False
    broaden: bool = False
    new_tune: bool = False
    characters: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Moment:
    """Something else: a lesson, a prayer, the sermon; `minutes` is how long it lasts."""

    what: str
    minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class Order:
    """One service. `organ` is the path of a stop list, empty for the practice organ; `people`
    and `early` say for whom keys are proposed."""

    name: str
    moments: tuple[HymnMoment | Moment, ...] = ()
    on: date | None = None
    begins: time | None = None
    room: str = ""
    singers: int | None = None
    organ: str = ""
    people: str = "mixed"
    early: bool = False

    @property
    def hymns(self) -> tuple[HymnMoment, ...]:
        """The hymns in order."""
        return tuple(moment for moment in self.moments if isinstance(moment, HymnMoment))
