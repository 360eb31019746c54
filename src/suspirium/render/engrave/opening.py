"""Room between two staves: the lower one of an engraved system moved down.

The drawing's own coordinates are changed, so that what is measured afterwards is true.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from lxml import etree

from suspirium.render.engrave.shapes import Glyphs, extent, staff_of

_SVG = "{http://www.w3.org/2000/svg}"
_PAIR = re.compile(r"(-?\d+(?:\.\d+)?)([ ,]+)(-?\d+(?:\.\d+)?)")
_PLACED = re.compile(r"(translate\(-?[\d.]+,\s*)(-?[\d.]+)(\))")
_Y = {"rect": "y", "ellipse": "cy", "text": "y"}


def move_staff(
    group: etree._Element, glyphs: Glyphs, lowest: int, middle_y: float, by: float
) -> None:
    """Moves staff `lowest` below `group` and all that belongs to it down by `by`.

    What says no staff (ties, fermatas) belongs to the side of `middle_y` on which it mostly
    is; lines that join the staves grow.
    """
    for leaf, staff in list(_leaves(group, -1)):
        tag = etree.QName(leaf).localname
        if staff >= 0:
            if staff == lowest:
                _move(leaf, tag, by)
            continue
        found = extent(leaf, tag, glyphs) or _text_extent(leaf, tag)
        if found is None:
            continue
        _, y0, _, y1 = found
        if _joins(leaf, tag) and y0 < middle_y < y1:
            _grow(leaf, by)
        elif (y0 + y1) / 2 > middle_y:
            _move(leaf, tag, by)


def _leaves(element: etree._Element, staff: int) -> Iterator[tuple[etree._Element, int]]:
    """Drawn elements with the staff they say they belong to, -1 for none."""
    for child in element:
        if not isinstance(child.tag, str):
            continue
        if child.tag == f"{_SVG}g":
            own = staff_of(child)
            yield from _leaves(child, staff if own < 0 else own)
        else:
            yield child, staff


def _text_extent(leaf: etree._Element, tag: str) -> tuple[float, float, float, float] | None:
    if tag != "text" or leaf.get("y") is None:
        return None
    x, y = float(leaf.get("x", "0")), float(leaf.get("y", "0"))
    return x, y, x, y


def _joins(leaf: etree._Element, tag: str) -> bool:
    """Whether this is a straight upright line."""
    points = _PAIR.findall(leaf.get("d", ""))
    return tag == "path" and len(points) == 2 and points[0][0] == points[1][0]


def _grow(leaf: etree._Element, by: float) -> None:
    (x, _, a), (_, _, b) = _PAIR.findall(leaf.get("d", ""))
    top, bottom = sorted((float(a), float(b)))
    leaf.set("d", f"M{x} {top:g} L{x} {bottom + by:g}")


def _move(leaf: etree._Element, tag: str, by: float) -> None:
    def down(pair: re.Match[str]) -> str:
        return f"{pair[1]}{pair[2]}{float(pair[3]) + by:g}"

    if tag == "use":
        moved = _PLACED.sub(
            lambda m: f"{m[1]}{float(m[2]) + by:g}{m[3]}", leaf.get("transform", "")
        )
        leaf.set("transform", moved)
    elif tag == "path":
        leaf.set("d", _PAIR.sub(down, leaf.get("d", "")))
    elif tag in ("polygon", "polyline"):
        leaf.set("points", _PAIR.sub(down, leaf.get("points", "")))
    elif tag in _Y:
        for text in (leaf, *leaf.iter(f"{_SVG}tspan")):
            if text.get(_Y[tag]) is not None:
                text.set(_Y[tag], f"{float(text.get(_Y[tag], '0')) + by:g}")
