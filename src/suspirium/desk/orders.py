"""The orders of service of this desk: begun, added to, put in another order.

Each is a TOML file in the desk's folder. A change names the version of the order that was
seen; what was changed elsewhere meanwhile is not overwritten.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from suspirium.desk.deciding import version_of
from suspirium.desk.finding import find_score
from suspirium.desk.naming import folder_name
from suspirium.desk.own_desk import desk_folder
from suspirium.desk.service_typed import characters_typed, key_typed, stanzas_typed
from suspirium.desk.serving import add_moments, new_service, read_order_file, try_moment
from suspirium.desk.week_typed import day_typed, time_typed
from suspirium.errors import ServiceError, SuspiriumError
from suspirium.service.order import HymnMoment, Moment, Order, order_text, read_order
from suspirium.store import read_bytes, write_whole

_CHARACTER = "character-"


def orders_folder() -> Path:
    """Where this desk's orders lie."""
    return desk_folder() / "services"


def orders() -> list[tuple[str, Order]]:
    """The orders by the name of their file, the latest day first; unreadable ones left out."""
    found = []
    for path in sorted(orders_folder().glob("*.toml")):
        try:
            found.append((path.stem, read_order_file(path)))
        except SuspiriumError:
            continue
    return sorted(found, key=lambda one: (str(one[1].on or ""), one[0]), reverse=True)


def order_path(stem: str) -> Path:
    """The file of an order; `ServiceError` if there is none of this name."""
    path = orders_folder() / f"{stem}.toml"
    if folder_name(stem) != stem or not path.is_file():
        raise ServiceError(f"there is no order of service {stem!r} at this desk")
    return path


def begin_order(asked: Mapping[str, str], room: str, singers: int | None) -> str:
    """Begins an order from a form's ``name``, ``date``, ``begins``, ``organ``, ``people`` and
    ``early``; the name of its file."""
    name = asked.get("name", "").strip()
    if not name:
        raise ServiceError("the service needs a name, as in Second Sunday of Advent")
    organ = folder_name(asked["organ"]) if asked.get("organ") else ""
    day = asked.get("date", "")
    order = Order(
        name=name,
        on=day_typed(day) if day else None,
        begins=time_typed(asked["begins"]) if asked.get("begins") else None,
        room=room,
        singers=singers,
        organ=f"../organs/{organ}.toml" if organ else "",
        people=asked.get("people") or "mixed",
        early="early" in asked,
    )
    stem = folder_name(f"{day} {name}")
    orders_folder().mkdir(parents=True, exist_ok=True)
    new_service(orders_folder() / f"{stem}.toml", order)
    return stem


def add_to_order(stem: str, asked: Mapping[str, str]) -> None:
    """Puts a hymn (``hymn``, its number in the library, with ``place``, ``stanzas``,
    ``introduction``, ``key``, ``amen``, ``broaden``, ``new_tune``, ``character-2`` for that
    stanza) or another moment (``what``, ``minutes``) at the end."""
    path = order_path(stem)
    moment: HymnMoment | Moment
    if asked.get("hymn"):
        moment = _hymn_moment(asked["hymn"], asked)
        try_moment(path, read_order_file(path), moment)
    elif asked.get("what", "").strip():
        moment = Moment(asked["what"].strip(), _minutes(asked.get("minutes", "")))
    else:
        raise ServiceError("choose a hymn, or say what else happens")
    add_moments(path, (moment,))


def _hymn_moment(hymn: str, asked: Mapping[str, str]) -> HymnMoment:
    introduction = asked.get("introduction", "")
    return HymnMoment(
        hymn=hymn,
        place=asked.get("place") or "middle",
        stanzas=stanzas_typed(asked.get("stanzas", "")),
        introduction=int(introduction) if introduction.isdigit() else 1,
        key=key_typed(asked.get("key") or "printed"),
        amen="amen" in asked,
        broaden="broaden" in asked,
        new_tune="new_tune" in asked,
        characters=characters_typed(
            [
                f"{name.removeprefix(_CHARACTER)}={value}"
                for name, value in asked.items()
                if name.startswith(_CHARACTER) and value
            ]
        ),
    )


def _minutes(text: str) -> float:
    try:
        return max(0.0, float(text.replace(",", "."))) if text.strip() else 0.0
    except ValueError:
        raise ServiceError(f"{text!r} is no number of minutes") from None


def change_order(
    stem: str, version: str, place: int, how: str, asked: Mapping[str, str] | None = None
) -> None:
    """Moves the moment at `place` (from 0) "up" or "down", or takes it "out".

    With "anew" a hymn stays there and is played as `asked` (see `add_to_order`).
    `SuspiriumError` if the order was changed meanwhile, there is no such moment, or the hymn
    can't be played so; then nothing is changed.
    """
    path = order_path(stem)
    text = read_bytes(path).decode("utf-8")
    if version_of(text) != version:
        raise ServiceError("this order was changed in another window meanwhile; look again")
    order = read_order(text)
    moments = list(order.moments)
    if not 0 <= place < len(moments):
        raise ServiceError("there is no such moment in the order")
    moment = moments.pop(place)
    if how in ("up", "down"):
        moments.insert(max(0, place + (1 if how == "down" else -1)), moment)
    elif how == "anew" and isinstance(moment, HymnMoment):
        anew = _hymn_moment(moment.hymn, asked or {})
        try_moment(path, order, anew)
        moments.insert(place, anew)
    elif how != "out":
        raise ServiceError("a moment is moved up or down, taken out, or played anew")
    write_whole(path, order_text(replace(order, moments=tuple(moments))).encode())


def order_version(stem: str) -> str:
    """The version of an order: by its content."""
    return version_of(read_bytes(order_path(stem)).decode("utf-8"))


def order_state(stem: str) -> str:
    """A name for all that a service is made from: the order, its organ, its hymns' scores and
    decisions. The same name means the same service."""
    path = order_path(stem)
    order = read_order_file(path)
    parts = [read_bytes(path).decode("utf-8")]
    if order.organ and (path.parent / order.organ).is_file():
        parts.append(read_bytes(path.parent / order.organ).decode("utf-8", "replace"))
    for moment in order.hymns:
        found = find_score(Path(moment.hymn))
        parts += [version_of(found.score.hex()), found.overrides or ""]
    return version_of("\n".join(parts))
