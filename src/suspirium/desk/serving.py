"""A service: its order read, every hymn planned, registered and played as it is sung there."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from suspirium.desk.finding import Found, find_score
from suspirium.desk.planning import Settings, key_asked, overrides_of, plan_found
from suspirium.errors import ServiceError, SuspiriumError
from suspirium.plan.overrides import Overrides
from suspirium.room import read_room
from suspirium.service.order import HymnMoment, Moment, Order, moment_text, order_text, read_order
from suspirium.service.organ import Organ, read_organ
from suspirium.service.served import Served, serve
from suspirium.service.whole import Service, whole_service
from suspirium.store import read_bytes, write_whole

Progress = Callable[[str], None]


def read_order_file(path: Path) -> Order:
    """The order at `path`; `ServiceError` in one sentence."""
    try:
        return read_order(_text(path))
    except ServiceError as problem:
        raise ServiceError(f"{path.name}: {problem.text}") from None


def read_organ_file(path: Path) -> Organ:
    """The stop list at `path`; `SuspiriumError` in one sentence."""
    try:
        return read_organ(_text(path))
    except SuspiriumError as problem:
        raise type(problem)(f"{path.name}: {problem.text}") from None


def new_service(path: Path, order: Order) -> None:
    """Writes a new order; `ServiceError` where there is a file already."""
    if path.exists():
        raise ServiceError(f"{path} is there already; choose another name, or add to it")
    write_whole(path, order_text(order).encode())


def add_moments(path: Path, moments: tuple[HymnMoment | Moment, ...]) -> Order:
    """Puts moments at the end of an order, what is there stays as it was typed.

    Nothing is written unless the whole can be read and every hymn is found.
    """
    text = _text(path) + "".join(moment_text(moment) for moment in moments)
    try:
        order = read_order(text)
    except ServiceError as problem:
        raise ServiceError(f"{path.name}: {problem.text}") from None
    for moment in moments:
        if isinstance(moment, HymnMoment):
            _found(path, moment)
    write_whole(path, text.encode())
    return order


def the_service(
    path: Path, progress: Progress = lambda step: None
) -> tuple[Service, tuple[Overrides, ...]]:
    """The service of an order file, every hymn with its plan, in the key it is sung in, and
    the organist's own decisions for each hymn."""
    order = read_order_file(path)
    organ = read_organ_file(path.parent / order.organ) if order.organ else None
    served, own = [], []
    for moment in order.hymns:
        progress(moment.hymn)
        found = _found(path, moment)
        served.append(_served(found, order, moment, organ))
        own.append(overrides_of(found))
    return whole_service(order, organ, served), tuple(own)


def try_moment(path: Path, order: Order, moment: HymnMoment) -> None:
    """Serves one hymn of an order file for trial; `SuspiriumError` where it can't be."""
    organ = read_organ_file(path.parent / order.organ) if order.organ else None
    _served(_found(path, moment), order, moment, organ)


def _served(found: Found, order: Order, moment: HymnMoment, organ: Organ | None) -> Served:
    try:
        return serve(moment, plan_found(found, settings_for(order, moment)), organ)
    except ServiceError:
        raise
    except SuspiriumError as problem:
        raise type(problem)(f"{moment.hymn}: {problem.text}") from None


def settings_for(order: Order, moment: HymnMoment) -> Settings:
    """What the plan of one hymn depends on."""
    return Settings(
        room=read_room(order.room) if order.room else None,
        singers=order.singers,
        key=key_asked(str(moment.key)),
        people=order.people,
        early=order.early,
    )


def _found(path: Path, moment: HymnMoment) -> Found:
    """The score beside the order, or the hymn of this name in the library."""
    beside = path.parent / moment.hymn
    return find_score(beside if beside.is_file() else Path(moment.hymn))


def _text(path: Path) -> str:
    try:
        return read_bytes(path).decode("utf-8")
    except UnicodeDecodeError:
        raise ServiceError(f"{path} is not text in UTF-8") from None
