"""Pages and columns: checked against every arrangement there is, on small examples."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suspirium.render.layout import Area, Block, columns, least_cost, paginate, place

AREA = Area(single_mm=282.0, several_mm=278.0)
heights = st.lists(st.floats(5, 120), min_size=1, max_size=9)


def hymn_blocks(systems: list[float], reasons: float = 40.0) -> list[Block]:
    music = [Block("system", height, index) for index, height in enumerate(systems)]
    return [Block("heading", 13), *music, Block("gap", 16), Block("reasons", reasons)]


@given(heights)
def test_pages_keep_all_blocks_in_order_and_overflow_none(systems) -> None:
    blocks = hymn_blocks(systems)
    pages = paginate(blocks, AREA).pages
    assert [block for page in pages for block in page] == blocks
    limit = AREA.single_mm if len(pages) == 1 else AREA.several_mm
    for page in pages:
        placed = place(page, limit)
        assert placed[-1].y_mm + placed[-1].block.height_mm <= limit + 1e-6
        for above, below in pairwise(placed):
            assert below.y_mm >= above.y_mm + above.block.height_mm - 1e-6


@settings(deadline=None)
@given(heights)
def test_no_other_breaking_has_fewer_pages(systems) -> None:
    """All ways to cut the blocks into pages, tried one by one."""
    blocks = hymn_blocks(systems)
    best = len(paginate(blocks, AREA).pages)
    for number in range(1, best):
        limit = AREA.single_mm if number == 1 else AREA.several_mm
        for cuts in combinations(range(1, len(blocks)), number - 1):
            edges = [0, *cuts, len(blocks)]
            pages = [blocks[a:b] for a, b in pairwise(edges)]
            assert any(sum(block.height_mm for block in page) > limit - 13 for page in pages)


@given(heights)
def test_the_bound_is_no_more_than_the_cost(systems) -> None:
    blocks = hymn_blocks(systems)
    assert least_cost(blocks, AREA) <= paginate(blocks, AREA).cost + 1e-9


def test_what_fits_on_one_page_stays_there() -> None:
    assert len(paginate(hymn_blocks([50.0] * 4), AREA).pages) == 1


def test_two_pages_share_the_systems() -> None:
    pages = paginate(hymn_blocks([66.0] * 6), AREA).pages
    assert [sum(block.kind == "system" for block in page) for page in pages] == [3, 3]


def test_reasons_stand_at_the_foot() -> None:
    placed = place(paginate(hymn_blocks([50.0]), AREA).pages[0], AREA.single_mm)
    assert placed[-1].y_mm + placed[-1].block.height_mm == pytest.approx(AREA.single_mm)


@given(st.lists(st.floats(1, 60), max_size=12), st.integers(1, 4))
def test_columns_hold_every_item_once(items, number) -> None:
    sections = columns(items, number, 100.0)
    assert [i for section in sections for column in section for i in column] == [*range(len(items))]
    for section in sections:
        assert len(section) == number
        assert all(sum(items[i] for i in column) <= 100.0 + 1e-6 for column in section)


@settings(deadline=None)
@given(st.lists(st.integers(1, 9), min_size=1, max_size=8), st.integers(1, 3))
def test_columns_are_as_low_as_can_be(items, number) -> None:
    """Against every way to cut the items into columns."""
    (section,) = columns(items, number, 1000.0)
    found = max(sum(items[i] for i in column) for column in section)
    lowest = min(
        max(sum(items[a:b]) for a, b in pairwise([0, *cuts, len(items)]))
        for parts in range(1, min(number, len(items)) + 1)
        for cuts in combinations(range(1, len(items)), parts - 1)
    )
    assert found == lowest
