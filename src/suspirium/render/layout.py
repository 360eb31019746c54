"""Blocks on pages: which page each stands on, and where.

Breaking into pages is one optimum over all breaks (dynamic programming): few pages, evenly
filled, no system alone. White that is left goes between the systems first.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from math import ceil
from typing import Literal

from suspirium.tables import load

BlockKind = Literal["heading", "system", "gap", "stanzas", "reasons", "credits"]
_SIDE_BY_SIDE = 2
_SLACK = 0.2  # white between blocks that page breaks save, in pages
_FOOT = ("reasons", "credits")


@dataclass(frozen=True, slots=True)
class Area:
    """What a page offers: its printed height in millimetres, alone or among others."""

    single_mm: float
    several_mm: float


# A4 within the margins that page.typ sets.
WIDTH_MM = 193.0
AREA = Area(single_mm=284.0, several_mm=280.0)


@dataclass(frozen=True, slots=True)
class Block:
    """Something that stands on one page in one piece; `index` tells blocks of a kind apart."""

    kind: BlockKind
    height_mm: float
    index: int = 0


@dataclass(frozen=True, slots=True)
class Placed:
    """A block with its top, in millimetres from the top of the printed area."""

    block: Block
    y_mm: float


@dataclass(frozen=True, slots=True)
class Pagination:
    """The blocks of each page, and what this arrangement costs."""

    pages: tuple[tuple[Block, ...], ...]
    cost: float


def paginate(blocks: Sequence[Block], area: Area) -> Pagination:
    """The cheapest pages for these blocks, in order."""
    if _height(blocks) <= area.single_mm:
        cost = _cost_of_number(1) + _emptiness(blocks, area.single_mm, last=True)
        return Pagination((tuple(blocks),), cost)
    systems = sum(block.kind == "system" for block in blocks)
    best: list[tuple[float, tuple[int, ...]]] = [(0.0, ())]
    for end in range(1, len(blocks) + 1):
        options = []
        for start in range(end - 1, -1, -1):
            page = blocks[start:end]
            if _height(page) > area.several_mm and end - start > 1:
                break
            cost, starts = best[start]
            cost += _cost_of_number(len(starts) + 1) - _cost_of_number(len(starts))
            cost += _cost(page, area.several_mm, systems, last=end == len(blocks))
            options.append((cost, (*starts, start)))
        best.append(min(options, key=lambda option: option[0]))
    cost, starts = best[-1]
    ends = [*starts[1:], len(blocks)]
    return Pagination(tuple(tuple(blocks[a:b]) for a, b in zip(starts, ends, strict=True)), cost)


def least_cost(blocks: Sequence[Block], area: Area) -> float:
    """What any arrangement of these blocks costs at least: the pages they fill."""
    height = _height(blocks)
    pages = 1 if height <= area.single_mm else max(2, ceil(height / area.several_mm - _SLACK))
    return _cost_of_number(pages)


def _cost_of_number(pages: int) -> float:
    """What so many pages cost, however they are filled."""
    table = load("page")
    return float(table["cost.page"] * pages + table["cost.turn"] * max(0, pages - _SIDE_BY_SIDE))


def _height(page: Sequence[Block]) -> float:
    least = load("page").number("between.least")
    return sum(block.height_mm for block in page) + least * _joints(page)


def _joints(page: Sequence[Block]) -> int:
    """Places where white can grow: above every system and the gap but below the heading."""
    return sum(_grows(above, block) for above, block in pairwise(page))


def _grows(above: Block, block: Block) -> bool:
    return block.kind in ("system", "gap") and above.kind != "heading"


def _emptiness(page: Sequence[Block], height_mm: float, *, last: bool) -> float:
    """White is expected after the end of the hymn; before it, it looks like the end."""
    table = load("page")
    stretch = (table["between.most"] - table["between.least"]) * _joints(page)
    empty = max(0.0, height_mm - _height(page) - stretch) / height_mm
    return float(table["cost.empty_last" if last else "cost.empty"] * empty**2)


def _cost(page: Sequence[Block], height_mm: float, systems: int, *, last: bool) -> float:
    table = load("page")
    cost = _emptiness(page, height_mm, last=last)
    kinds = [block.kind for block in page]
    alone = kinds.count("system") == 1 and systems > 1 and "gap" not in kinds
    if alone or kinds[0] == "gap":
        cost += table["cost.alone"]
    return cost


def place(page: Sequence[Block], height_mm: float) -> tuple[Placed, ...]:
    """Where the blocks of one page stand.

    White left over goes between the systems as far as they still read as one; what is then
    left stands above the page's closing texts, which sit at its foot.
    """
    table = load("page")
    spare = max(0.0, height_mm - _height(page))
    joints = _joints(page)
    grown = min(spare / joints, table["between.most"] - table["between.least"]) if joints else 0.0
    left = spare - grown * joints
    y, done = 0.0, []
    for number, block in enumerate(page):
        if number and _grows(page[number - 1], block):
            y += table["between.least"] + grown
        if block.kind in _FOOT and left and number and page[number - 1].kind not in _FOOT:
            y, left = y + left, 0.0
        done.append(Placed(block, y))
        y += block.height_mm
    return tuple(done)


def columns(heights_mm: Sequence[float], number: int, limit_mm: float) -> list[list[list[int]]]:
    """Items in order as sections of `number` columns, none higher than `limit_mm`.

    Each section is a list of columns, each column a list of indices; a section that takes
    all that is left has its columns as low as can be.
    """
    sections, start = [], 0
    while start < len(heights_mm):
        rest = range(start, len(heights_mm))
        height = _lowest(heights_mm, rest, number, limit_mm)
        section, start = _filled(heights_mm, rest, number, height)
        sections.append(section)
    return sections


def _lowest(heights_mm: Sequence[float], rest: range, number: int, limit_mm: float) -> float:
    """The least height at which all of `rest` stands in `number` columns; the limit if none."""
    heights = sorted(
        {
            total
            for a in rest
            for total in accumulate(heights_mm[b] for b in range(a, rest.stop))
            if total <= limit_mm
        }
    )
    index = bisect_left(
        heights, True, key=lambda h: _filled(heights_mm, rest, number, h)[1] == rest.stop
    )
    return heights[index] if index < len(heights) else limit_mm


def _filled(
    heights_mm: Sequence[float], items: range, number: int, height_mm: float
) -> tuple[list[list[int]], int]:
    """Columns filled to `height_mm`, and the first item left over."""
    section: list[list[int]] = []
    at = items.start
    for _ in range(number):
        column: list[int] = []
        used = 0.0
        while at < items.stop and (not column or used + heights_mm[at] <= height_mm + 1e-6):
            used += heights_mm[at]
            column.append(at)
            at += 1
        section.append(column)
    return section, at
