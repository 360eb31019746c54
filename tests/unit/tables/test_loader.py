from __future__ import annotations

from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.errors import TableError
from suspirium.tables import KINDS, load, parse

NAMES = sorted(
    entry.name.removesuffix(".toml")
    for entry in resources.files("suspirium.tables").iterdir()
    if entry.name.endswith(".toml")
)
WHOLE = {"value": "1", "unit": '"s"', "kind": '"published"', "source": '"ISO 1"'}


def _row(parts: dict[str, str]) -> str:
    return "[a.b]\n" + "\n".join(f"{key} = {value}" for key, value in parts.items())


@pytest.mark.parametrize("name", NAMES)
def test_every_table_loads_with_unit_kind_and_source(name: str) -> None:
    rows = list(load(name))
    assert rows
    for row in rows:
        assert row.unit
        assert row.source
        assert row.kind in KINDS


def test_the_tables_of_the_plan_are_all_there() -> None:
    assert {"pulse", "tempo", "lift", "gap", "touch", "room"} <= set(NAMES)


@given(st.sampled_from(sorted(WHOLE)))
def test_a_row_without_one_of_its_parts_is_refused(missing: str) -> None:
    parts = {key: value for key, value in WHOLE.items() if key != missing}
    # Without its value it is no row but a branch of loose entries, refused as well.
    with pytest.raises(TableError):
        parse("test", _row(parts))


@pytest.mark.parametrize("part", ["unit", "kind", "source"])
def test_an_empty_part_is_no_part(part: str) -> None:
    with pytest.raises(TableError, match=part):
        parse("test", _row({**WHOLE, part: '""'}))


def test_unknown_kinds_and_parts_are_refused() -> None:
    with pytest.raises(TableError, match="hearsay"):
        parse("test", _row({**WHOLE, "kind": '"hearsay"'}))
    with pytest.raises(TableError, match="colour"):
        parse("test", _row({**WHOLE, "colour": '"red"'}))


def test_values_cannot_be_altered_in_place() -> None:
    row = parse("test", _row({**WHOLE, "value": "[1, [2, 3]]"})).row("a.b")
    assert row.value == (1, (2, 3))


def test_a_missing_row_or_table_is_named() -> None:
    with pytest.raises(TableError, match=r"a\.c"):
        parse("test", _row(WHOLE)).row("a.c")
    with pytest.raises(TableError, match="nowhere"):
        load("nowhere")
