"""A stop list as a form has it: rows of text, from an organ and back to a readable file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import tomli_w

from suspirium.errors import OrganError
from suspirium.service.organ import Division, Organ
from suspirium.service.organ.feet import feet_words

_RESERVED = {"name", "pistons", "couplers"}
_KEYS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FIELD = re.compile(r"division-(\d+)-(\w+)(?:-(\d+))?")
_COUPLER = re.compile(r"coupler-(\d+)-(\d+)")

COMPASSES = ("C2-D4", "C2-F4", "C2-G4", "C2-C6", "C2-F6", "C2-G6", "C2-A6", "C2-C7")


@dataclass(frozen=True, slots=True)
class StopRow:
    """A stop as it is typed."""

    name: str = ""
    feet: str = ""
    family: str = ""


@dataclass(frozen=True, slots=True)
class DivisionRow:
    """A division as it is typed; `compass` is "C2-G6"."""

    name: str = ""
    pedal: bool = False
    enclosed: bool = False
    compass: str = "C2-G6"
    stops: tuple[StopRow, ...] = ()


@dataclass(frozen=True, slots=True)
class StopList:
    """An organ as it is typed; `couplers` are pairs of divisions by place, source first."""

    name: str = ""
    pistons: str = ""
    divisions: tuple[DivisionRow, ...] = ()
    couplers: frozenset[tuple[int, int]] = frozenset()
    octave_couplers: str = ""


def stop_list(organ: Organ) -> StopList:
    """The rows of an organ."""
    places = {division.name: place for place, division in enumerate(organ.divisions)}
    return StopList(
        organ.name,
        str(organ.pistons) if organ.pistons else "",
        tuple(map(_division_row, organ.divisions)),
        frozenset(
            (places[one.source], places[one.target]) for one in organ.couplers if not one.octaves
        ),
        ", ".join(one.name for one in organ.couplers if one.octaves),
    )


def _division_row(division: Division) -> DivisionRow:
    rows = (
        StopRow(stop.name, " + ".join(map(feet_words, stop.feet)), stop.family)
        for stop in division.stops
    )
    compass = f"{_key_name(division.lowest)}-{_key_name(division.highest)}"
    return DivisionRow(division.name, division.pedal, division.enclosed, compass, tuple(rows))


def _key_name(midi: int) -> str:
    """The key's name as stop lists have it: C4 is middle C."""
    return f"{_KEYS[midi % 12]}{midi // 12 - 1}"


def stop_list_asked(asked: Mapping[str, str]) -> StopList:
    """The rows that a form's fields say; rows and divisions left empty are left out.

    Fields: ``name``, ``pistons``, ``octave_couplers``; ``division-0-name``, ``-compass``,
    ``-pedal``, ``-enclosed``, and ``division-0-stop-0``, ``-feet-0``, ``-family-0`` for each
    stop; ``coupler-1-0`` couples division 1 to division 0.
    """
    divisions: dict[int, dict[str, str]] = {}
    stops: dict[int, dict[int, dict[str, str]]] = {}
    for field, value in asked.items():
        if found := _FIELD.fullmatch(field):
            place, part, row = int(found[1]), found[2], found[3]
            text = " ".join(value.split())
            if row is None:
                divisions.setdefault(place, {})[part] = text
            else:
                stops.setdefault(place, {}).setdefault(int(row), {})[part] = text
    kept: dict[int, DivisionRow] = {}
    for place in sorted(divisions.keys() | stops.keys()):
        row_asked = _division_asked(divisions.get(place, {}), stops.get(place, {}))
        if row_asked.name or row_asked.stops:
            kept[place] = row_asked
    places = {old: new for new, old in enumerate(kept)}
    pairs = (found for field in asked if (found := _COUPLER.fullmatch(field)))
    return StopList(
        " ".join(asked.get("name", "").split()),
        asked.get("pistons", "").strip(),
        tuple(kept.values()),
        frozenset(
            (places[int(one[1])], places[int(one[2])])
            for one in pairs
            if int(one[1]) in places and int(one[2]) in places
        ),
        asked.get("octave_couplers", "").strip(),
    )


def _division_asked(parts: Mapping[str, str], rows: Mapping[int, Mapping[str, str]]) -> DivisionRow:
    stops = (
        StopRow(row.get("stop", ""), row.get("feet", ""), row.get("family", ""))
        for _, row in sorted(rows.items())
    )
    return DivisionRow(
        parts.get("name", ""),
        "pedal" in parts,
        "enclosed" in parts,
        parts.get("compass", "C2-G6"),
        tuple(stop for stop in stops if stop.name or stop.feet),
    )


def stop_list_text(listed: StopList) -> str:
    """The readable file of rows, as `read_organ` takes it.

    Raises `OrganError` where rows can't be written down at all; what is wrong in them
    otherwise, `read_organ` says.
    """
    tree: dict[str, Any] = {"name": listed.name}
    if listed.pistons:
        if not listed.pistons.isdigit():
            raise OrganError(f"pistons is {listed.pistons!r}: write how many there are")
        tree["pistons"] = int(listed.pistons)
    if couplers := list(_couplers(listed)):
        tree["couplers"] = couplers
    for division in listed.divisions:
        if not division.name:
            raise OrganError(f"the division with {division.stops[0].name!r} has no name")
        if division.name in _RESERVED or division.name in tree:
            raise OrganError(f"two divisions can't be called {division.name}: tell them apart")
        tree[division.name] = dict(_division_tree(division))
    return tomli_w.dumps(tree)


def _couplers(listed: StopList) -> Iterator[str]:
    names = [division.name for division in listed.divisions]
    for source, target in sorted(listed.couplers, key=lambda pair: (pair[1], pair[0])):
        yield f"{names[source]} to {names[target]}"
    yield from filter(None, map(str.strip, listed.octave_couplers.split(",")))


def _division_tree(division: DivisionRow) -> Iterator[tuple[str, Any]]:
    if division.pedal:
        yield "pedal", True
    if division.enclosed:
        yield "enclosed", True
    yield "compass", division.compass.split("-")
    yield "stops", [f"{one.name} {one.feet} {one.family}" for one in division.stops]
