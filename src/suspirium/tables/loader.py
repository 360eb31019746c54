"""Reading tables: a row without unit, kind and source is refused."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from suspirium.errors import TableError

KINDS = ("published", "from-memory", "common-practice", "measured", "invented")
_REQUIRED = ("value", "unit", "kind", "source")
_ALLOWED = {*_REQUIRED, "where", "note"}


@dataclass(frozen=True, slots=True)
class Row:
    """One sourced value.

    `kind` is one of `KINDS`; `where` names the place in the source; `unit` is "1" for a
    pure number.
    """

    key: str
    value: Any
    unit: str
    kind: str
    source: str
    where: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of one file, by dotted key."""

    name: str
    rows: Mapping[str, Row]

    def row(self, key: str) -> Row:
        """The row with its provenance; `TableError` if there is none."""
        try:
            return self.rows[key]
        except KeyError:
            raise TableError(f"table {self.name} has no row {key!r}") from None

    def __getitem__(self, key: str) -> Any:
        return self.row(key).value

    def number(self, key: str) -> float:
        """The value as a float."""
        return float(self.row(key).value)

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows.values())

    def __contains__(self, key: object) -> bool:
        return key in self.rows


def parse(name: str, text: str) -> Table:
    """A table from TOML text; `TableError` names the first row that lacks something."""
    try:
        tree = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise TableError(f"table {name} is not valid TOML: {problem}") from None
    return Table(name, MappingProxyType({row.key: row for row in _rows(name, tree, "")}))


def _rows(name: str, tree: Mapping[str, Any], path: str) -> Iterator[Row]:
    if "value" in tree:
        yield _row(name, path, tree)
        return
    for key, branch in tree.items():
        here = f"{path}.{key}" if path else key
        if not isinstance(branch, Mapping):
            raise TableError(f"table {name}: {here} stands outside any row")
        yield from _rows(name, branch, here)


def _row(name: str, key: str, tree: Mapping[str, Any]) -> Row:
    missing = [part for part in _REQUIRED if part not in tree or tree[part] == ""]
    if missing:
        raise TableError(f"table {name}: row {key!r} lacks {', '.join(missing)}")
    unknown = sorted(set(tree) - _ALLOWED)
    if unknown:
        raise TableError(f"table {name}: row {key!r} has unknown parts {', '.join(unknown)}")
    if tree["kind"] not in KINDS:
        raise TableError(f"table {name}: row {key!r} has the unknown kind {tree['kind']!r}")
    return Row(key, **{**tree, "value": _frozen(tree["value"])})


def _frozen(value: Any) -> Any:
    """Lists become tuples, so that no caller can alter a table in place."""
    if isinstance(value, list):
        return tuple(_frozen(item) for item in value)
    if isinstance(value, dict):
        return MappingProxyType({key: _frozen(item) for key, item in value.items()})
    return value


@cache
def load(name: str) -> Table:
    """The project's own table `name` (without ``.toml``), read once."""
    return parse(name, load_text(f"{name}.toml"))


def load_text(file_name: str) -> str:
    """A file beside the tables: a list too long for a row, which a row names and sources.

    Lines that begin with # are left out.
    """
    file = resources.files("suspirium.tables") / file_name
    try:
        text = file.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise TableError(f"there is no table {file_name!r}") from None
    return "\n".join(line for line in text.splitlines() if not line.startswith("#"))
