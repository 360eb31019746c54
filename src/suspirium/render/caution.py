"""What every page with fingers or feet says at its foot: the marks are a start; take care."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from suspirium.render.layout import WIDTH_MM, Area
from suspirium.render.typeset import Item, measure_mm
from suspirium.technique import A_START, CARE

_ITEM: Item = {"kind": "caution", "text": f"{A_START} {CARE}", "width": WIDTH_MM, "x": 0.0}


@cache
def caution_mm() -> float:
    """How high the caution is."""
    return measure_mm([_ITEM])[0]


def above_caution(area: Area) -> Area:
    """What the caution leaves of each page."""
    return Area(area.single_mm - caution_mm(), area.several_mm - caution_mm())


def with_caution(page: Sequence[Item], height_mm: float) -> list[Item]:
    """The items of a page `height_mm` high, the caution at its foot."""
    return [*page, {**_ITEM, "y": height_mm - caution_mm()}]
