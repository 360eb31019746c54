"""A whole `Service`: its order and every hymn as it is played, with what neighbours share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from suspirium.service.customs import broken_customs
from suspirium.service.order.model import HymnMoment, Moment, Order
from suspirium.service.organ import Organ
from suspirium.service.relations import Relation, relation
from suspirium.service.served import Served

_SECONDS = 60.0


@dataclass(frozen=True, slots=True)
class Service:
    """An order with its hymns as they are played: `served` has one for each hymn of the order,
    `relations` one for each neighbours, `remarks` are broken customs."""

    order: Order
    organ: Organ | None
    served: tuple[Served, ...]
    relations: tuple[Relation, ...]
    remarks: tuple[str, ...]

    @property
    def seconds(self) -> float:
        """The whole service, other moments as long as the order says."""
        return sum(seconds for _, _, seconds in self.timed())

    def timed(self) -> Iterator[tuple[float, Moment | Served, float]]:
        """Every moment with the second at which it begins and how long it lasts."""
        at_s = 0.0
        hymns = iter(self.served)
        for moment in self.order.moments:
            each = next(hymns) if isinstance(moment, HymnMoment) else moment
            lasts_s = each.played.seconds if isinstance(each, Served) else each.minutes * _SECONDS
            yield at_s, each, lasts_s
            at_s += lasts_s


def whole_service(order: Order, organ: Organ | None, served: Sequence[Served]) -> Service:
    """The service of these hymns, one for each hymn of the order."""
    relations = tuple(relation(one.plan, after.plan) for one, after in pairwise(served))
    return Service(order, organ, tuple(served), relations, broken_customs(served))
