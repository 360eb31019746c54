"""What every page with fingers or feet says at its foot: what the signs mean, that they are a
start, and to take care."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from suspirium.render.layout import WIDTH_MM, Area
from suspirium.render.typeset import Item, measure_mm
from suspirium.technique import A_START, CARE

LEGEND = "Fingers and feet."


def _item(legend: str) -> Item:
    text = f"{A_START} {CARE}"
    head = LEGEND if legend else ""
    item: Item = {"kind": "caution", "head": head, "legend": legend, "text": text}
    return {**item, "width": WIDTH_MM, "x": 0.0}


@lru_cache(maxsize=256)
def caution_mm(legend: str = "") -> float:
    """How high the caution is, with the legend of the signs."""
    return measure_mm([_item(legend)])[0]


def above_caution(area: Area, legend: str = "") -> Area:
    """What the caution leaves of each page."""
    height_mm = caution_mm(legend)
    return Area(area.single_mm - height_mm, area.several_mm - height_mm)


def with_caution(page: Sequence[Item], height_mm: float, legend: str = "") -> list[Item]:
    """The items of a page `height_mm` high, the caution at its foot."""
    return [*page, {**_item(legend), "y": height_mm - caution_mm(legend)}]
