"""Reading an order of service: readable TOML, every fault in one plain sentence.

::

    name = "Second Sunday of Advent"
    date = 2026-12-06
    begins = 10:00:00
    room = "parish"
    singers = 90
    organ = "netherwick.toml"      # a stop list beside this file

    [[moments]]
    hymn = "fallowmere.abc"        # a score beside this file, or a hymn of the library
    place = "opening"              # opening, middle, prayer, communion, closing
    stanzas = [1, 2, 4]            # all if left out
    introduction = 1               # which proposal; 0 for none
    key = "proposed"               # printed, proposed, or semitones up: -2
    amen = true
    broaden = true                 # the last line of the last stanza slows
    new_tune = true                # people do not know it yet
    characters = { 2 = "quiet" }   # still, quiet, plain, bright, great

    [[moments]]
    what = "Sermon"
    minutes = 12
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

from suspirium.errors import ServiceError
from suspirium.service.order.model import BEST, PRINTED, PROPOSED, HymnMoment, Moment, Order
from suspirium.tables import load

_PARTS = {
    "name": str,
    "date": date,
    "begins": time,
    "room": str,
    "singers": int,
    "organ": str,
    "people": str,
    "early": bool,
    "moments": list,
}
_HYMN_PARTS = {
    "hymn": str,
    "place": str,
    "stanzas": list,
    "introduction": int,
    "key": (str, int),
    "amen": bool,
    "broaden": bool,
    "new_tune": bool,
    "characters": Mapping,
}
_OTHER_PARTS = {"what": str, "minutes": (int, float)}
_MOST_MINUTES = 24 * 60


def read_order(text: str) -> Order:
    """The order of a TOML file. Raises `ServiceError` in one plain sentence."""
    try:
        tree = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise ServiceError(f"the order of service is not valid TOML: {problem}") from None
    _check("the order of service", tree, _PARTS)
    if not str(tree.get("name", "")).strip():
        raise ServiceError('the service has no name: write name = "..." on top')
    singers = tree.get("singers")
    if singers is not None and singers < 1:
        raise ServiceError(f"singers is {singers}: write how many people sing")
    if isinstance(tree.get("date"), datetime):
        raise ServiceError("date is a day only, as in 2026-12-06; the hour stands in begins")
    moments = tree.get("moments", [])
    return Order(
        name=tree["name"].strip(),
        moments=tuple(_moment(number, one) for number, one in enumerate(moments, 1)),
        on=tree.get("date"),
        begins=tree.get("begins"),
        room=tree.get("room", ""),
        singers=singers,
        organ=tree.get("organ", ""),
        people=tree.get("people", "mixed"),
        early=tree.get("early", False),
    )


def _moment(number: int, tree: Any) -> HymnMoment | Moment:
    where = f"moment {number}"
    if not isinstance(tree, Mapping) or ("hymn" in tree) == ("what" in tree):
        raise ServiceError(f'{where} must have either hymn = "..." or what = "..."')
    if "what" in tree:
        _check(where, tree, _OTHER_PARTS)
        minutes = float(tree.get("minutes", 0.0))
        if not 0 <= minutes <= _MOST_MINUTES:
            raise ServiceError(f"{where}: {minutes:g} is no number of minutes")
        return Moment(tree["what"].strip(), minutes)
    return _hymn(f"{where}, {tree['hymn']}", tree)


def _hymn(where: str, tree: Mapping[str, Any]) -> HymnMoment:
    _check(where, tree, _HYMN_PARTS)
    place = tree.get("place", "middle")
    places = load("registration")["place"]
    if place not in places:
        raise ServiceError(f"{where}: the place {place!r} is not known: choose {', '.join(places)}")
    introduction = tree.get("introduction", BEST)
    if introduction < 0:
        raise ServiceError(f"{where}: introduction is {introduction}; write 1, 2, 3, or 0 for none")
    return HymnMoment(
        hymn=tree["hymn"].strip(),
        place=place,
        stanzas=_stanzas(where, tree.get("stanzas", [])),
        introduction=introduction,
        key=_key(where, tree.get("key", PRINTED)),
        amen=tree.get("amen", False),
        broaden=tree.get("broaden", False),
        new_tune=tree.get("new_tune", False),
        characters=_characters(where, tree.get("characters", {})),
    )


def _stanzas(where: str, found: list[Any]) -> tuple[int, ...]:
    if any(not isinstance(one, int) or isinstance(one, bool) or one < 1 for one in found):
        raise ServiceError(f"{where}: stanzas are numbers, as in stanzas = [1, 2, 4]")
    return tuple(found)


def _key(where: str, key: str | int) -> str | int:
    furthest = int(load("key")["asked.furthest"])
    if isinstance(key, bool) or (isinstance(key, str) and key not in (PRINTED, PROPOSED)):
        raise ServiceError(
            f"{where}: the key is {key!r}; write printed, proposed, or semitones up, as in -2"
        )
    if isinstance(key, int) and abs(key) > furthest:
        raise ServiceError(f"{where}: {key} semitones are too far; up to {furthest} can be moved")
    return key


def _characters(where: str, found: Mapping[str, Any]) -> dict[int, str]:
    known = load("registration")["character"]
    for number, name in found.items():
        if not number.isdigit():
            raise ServiceError(f"{where}: characters go by stanza, as in {{ 2 = 'quiet' }}")
        if name not in known:
            raise ServiceError(f"{where}: a stanza is {', '.join(known)}, not {name!r}")
    return {int(number): name for number, name in found.items()}


def _check(where: str, tree: Mapping[str, Any], parts: Mapping[str, Any]) -> None:
    """Every entry is known and of its kind."""
    for name, value in tree.items():
        if name not in parts:
            known = ", ".join(parts)
            raise ServiceError(
                f"{where} has {name!r}, which is not understood; it may have {known}"
            )
        kind = parts[name]
        wants_number = kind is int or (isinstance(kind, tuple) and int in kind)
        if not isinstance(value, kind) or (isinstance(value, bool) and wants_number):
            raise ServiceError(f"{where}: {name} can't be {value!r}")
