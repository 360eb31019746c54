"""Reading a stop list: readable TOML, checked, every fault in one plain sentence.

::

    name = "The organ of Netherwick"
    pistons = 6
    couplers = ["Swell to Great", "Great to Pedal", "Swell to Great super"]

    [Great]
    compass = ["C2", "G6"]
    stops = ["Open Diapason 8 principal", "Fifteenth 2 principal", "Mixture 1 1/3 + 1 mixture"]

    [Pedal]
    pedal = true
    compass = ["C2", "F4"]
    stops = ["Bourdon 16 stopped"]

A division is a table; the first manual is the main one. ``enclosed = true`` puts it in a swell
box. A stop is its name, its pitch in feet (of every rank, for a mixture at the lowest C) and
its family.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby
from typing import Any, cast

from suspirium.errors import OrganError
from suspirium.score.pitch import STEPS, Pitch
from suspirium.service.organ.feet import feet_named, feet_words, known_pitches
from suspirium.service.organ.model import COMPOUND, Coupler, Division, Family, Organ, Stop
from suspirium.tables import load

_STOP = re.compile(r"(?P<name>.+?)\s+(?P<feet>\d[\d\s/+'′]*?)\s+(?P<family>[a-z][a-z ]*)")
_KEY = re.compile(r"([A-G])([#♯b♭]?)(-?\d)")
_COUPLER = re.compile(r"(.+?) to (.+?)(?: (super|sub))?")
_PARTS = {"name", "pistons", "couplers"}
_DIVISION_PARTS = {"compass", "stops", "pedal", "enclosed"}
_MOST_PISTONS = 1000


def read_organ(text: str) -> Organ:
    """The organ of a stop list. Raises `OrganError` in one plain sentence."""
    try:
        tree = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise OrganError(f"the stop list is not valid TOML: {problem}") from None
    divisions = tuple(
        _division(name, part) for name, part in tree.items() if isinstance(part, Mapping)
    )
    unknown = sorted(key for key in tree if key not in _PARTS and key not in _names(divisions))
    if unknown:
        raise OrganError(f"the stop list has {unknown[0]!r}, which is no part of an organ")
    name = tree.get("name")
    if not isinstance(name, str) or not name.strip():
        raise OrganError('the organ has no name: write name = "..." on top')
    _check_divisions(divisions)
    return Organ(name, divisions, _couplers(tree.get("couplers", []), divisions), _pistons(tree))


def _names(divisions: Sequence[Division]) -> set[str]:
    return {division.name for division in divisions}


def _check_divisions(divisions: Sequence[Division]) -> None:
    if all(division.pedal for division in divisions):
        raise OrganError("the organ has no manual: every organ needs one to play on")
    if sum(division.pedal for division in divisions) > 1:
        raise OrganError("the organ has two pedals: only one division can have pedal = true")


def _pistons(tree: Mapping[str, Any]) -> int:
    count = tree.get("pistons", 0)
    if not isinstance(count, int) or isinstance(count, bool) or not 0 <= count <= _MOST_PISTONS:
        raise OrganError(f"pistons is {count!r}: write how many registrations can be set")
    return count


def _division(name: str, tree: Mapping[str, Any]) -> Division:
    unknown = sorted(set(tree) - _DIVISION_PARTS)
    if unknown:
        raise OrganError(f"{name} has {unknown[0]!r}, which is no part of a division")
    pedal, enclosed = tree.get("pedal", False), tree.get("enclosed", False)
    for part, value in (("pedal", pedal), ("enclosed", enclosed)):
        if not isinstance(value, bool):
            raise OrganError(f"{name}: {part} is {value!r}; write true or false")
    lowest, highest = _compass(name, tree.get("compass"), pedal)
    stops = tree.get("stops")
    if not isinstance(stops, list) or not stops:
        raise OrganError(f"{name} has no stops")
    found = tuple(_stop(name, stop) for stop in stops)
    _check_names(name, found)
    return Division(name, lowest, highest, found, pedal, enclosed)


def _compass(name: str, keys: Any, pedal: bool) -> tuple[int, int]:
    if not isinstance(keys, list) or len(keys) != 2:
        raise OrganError(f'{name} has no compass: write its lowest and highest key, ["C2", "G6"]')
    lowest, highest = (_key(name, key) for key in keys)
    table = load("organs")
    fewest, most = table["compass.pedal" if pedal else "compass.manual"]
    count = highest - lowest + 1
    if not fewest <= count <= most:
        what = "a pedalboard" if pedal else "a manual"
        raise OrganError(
            f"{name}: from {keys[0]} to {keys[1]} are {max(count, 0)} keys; "
            f"{what} has {fewest} to {most}"
        )
    if lowest < table["compass.lowest"] or highest > table["compass.highest"]:
        raise OrganError(f"{name}: no keyboard of an organ goes from {keys[0]} to {keys[1]}")
    return lowest, highest


def _key(name: str, text: Any) -> int:
    found = _KEY.fullmatch(text.strip()) if isinstance(text, str) else None
    if not found:
        raise OrganError(f"{name}: {text!r} is no key; write C2 for the lowest C, G6 for the top")
    alter = {"": 0, "#": 1, "♯": 1, "b": -1, "♭": -1}[found[2]]
    assert found[1] in STEPS
    return Pitch(found[1], alter, int(found[3])).midi


def _stop(division: str, text: Any) -> Stop:
    found = _STOP.fullmatch(text.strip()) if isinstance(text, str) else None
    if not found:
        raise OrganError(
            f"{division}: the stop {text!r} can't be read; write its name, its feet and its "
            'family, as in "Gedackt 8 stopped"'
        )
    name, family = found["name"], found["family"].strip()
    where = f"{division}, {name}"
    families = load("organs")["families"]
    if family not in families:
        raise OrganError(f"{where}: {family!r} is no family; choose {', '.join(families)}")
    feet = tuple(_feet(where, part) for part in found["feet"].split("+"))
    if len(feet) > 1 and family not in COMPOUND:
        raise OrganError(f"{where}: only a mixture or a cornet has several ranks")
    return Stop(name, division, tuple(sorted(feet, reverse=True)), cast(Family, family))


def _feet(where: str, text: str) -> Fraction:
    try:
        feet = feet_named(text)
    except (ValueError, ZeroDivisionError):
        raise OrganError(f"{where}: {text.strip()!r} is no pitch in feet") from None
    if feet not in known_pitches():
        raise OrganError(
            f"{where}: no stop is at {feet_words(feet)} foot; pitches are 16, 8, 4, 2 2/3, 2 and "
            "the like"
        )
    return feet


def _check_names(division: str, stops: Sequence[Stop]) -> None:
    for name, group in groupby(sorted(stop.name for stop in stops)):
        if len(list(group)) > 1:
            raise OrganError(f"{division} has two stops called {name}: tell them apart")


def _couplers(texts: Any, divisions: Sequence[Division]) -> tuple[Coupler, ...]:
    if not isinstance(texts, list):
        raise OrganError('couplers is a list: ["Swell to Great", "Great to Pedal"]')
    return tuple(_each_coupler(texts, divisions))


def _each_coupler(texts: Sequence[Any], divisions: Sequence[Division]) -> Iterator[Coupler]:
    for text in texts:
        found = _COUPLER.fullmatch(text.strip()) if isinstance(text, str) else None
        if not found:
            raise OrganError(f'the coupler {text!r} can\'t be read; write "Swell to Great"')
        source, target, pitch = found[1], found[2], found[3]
        for name in (source, target):
            if name not in _names(divisions):
                raise OrganError(f"the coupler {text!r} names {name}, which is no division here")
        yield Coupler(source, target, {"super": 1, "sub": -1}.get(pitch or "", 0))
