"""What is drawn, as rectangles: read from the engraver's SVG, so that offsets are measured.

Coordinates are the drawing's own units, y downwards; `UNITS_PER_MM` of them make a
millimetre on paper.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from fontTools.pens.boundsPen import BoundsPen
from fontTools.svgLib.path import parse_path
from lxml import etree

UNITS_PER_MM = 105.3
_SVG = "{http://www.w3.org/2000/svg}"
_XLINK = "{http://www.w3.org/1999/xlink}href"
_NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
_TRANSLATE = re.compile(r"translate\((-?[\d.]+),\s*(-?[\d.]+)\)")
_SLUR = re.compile(r"slur(\d+)-")
_SCALE = re.compile(r"scale\((-?[\d.]+)(?:,\s*(-?[\d.]+))?\)")


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle with the class of what it bounds and the id of its owner.

    `staff` counts from 0 at the top, -1 where the drawing doesn't tell.
    """

    x0: float
    y0: float
    x1: float
    y1: float
    kind: str
    owner: str = ""
    staff: int = -1

    def overlaps(self, other: Box, slack: float = 0.0) -> bool:
        """Whether the two share more than `slack` in both directions."""
        return (
            min(self.x1, other.x1) - max(self.x0, other.x0) > slack
            and min(self.y1, other.y1) - max(self.y0, other.y0) > slack
        )


Glyphs = dict[str, tuple[float, float, float, float]]


def glyph_boxes(svg: etree._Element) -> Glyphs:
    """Bounding boxes of the signs that the drawing defines, y downwards, by id."""
    found: Glyphs = {}
    for definition in svg.iter(f"{_SVG}defs"):
        for group in definition:
            path = group.find(f"{_SVG}path")
            if path is not None:
                x0, y0, x1, y1 = _path_box(path.get("d", ""))
                found[group.get("id", "")] = (x0, -y1, x1, -y0)
    return found


def boxes(group: etree._Element, glyphs: Glyphs) -> list[Box]:
    """Every drawn thing below `group`; each takes kind and owner from its nearest parent."""
    return list(_boxes(group, glyphs, group.get("class", ""), group.get("id", ""), -1))


def staff_of(element: etree._Element) -> int:
    """The staff that a group says it belongs to, counted from 0; -1 where it doesn't say.

    A staff is known by its place in its measure, a slur by its id (``slur<staff>-...``).
    """
    kind = element.get("class", "").split(" ")[0]
    if kind == "staff":
        return sum(other.get("class") == "staff" for other in element.itersiblings(preceding=True))
    named = _SLUR.match(element.get("id", "")) if kind == "slur" else None
    return int(named[1]) if named else -1


def _boxes(
    element: etree._Element, glyphs: Glyphs, kind: str, owner: str, staff: int
) -> Iterator[Box]:
    for child in element:
        tag = etree.QName(child).localname if isinstance(child.tag, str) else ""
        if tag == "g":
            own = child.get("class", kind).split(" ")[0]
            name = child.get("id", owner) if own in ("note", "chord", "rest") else owner
            inside = staff_of(child)
            yield from _boxes(child, glyphs, own, name, staff if inside < 0 else inside)
            continue
        bounds = extent(child, tag, glyphs)
        if bounds is not None:
            yield Box(*bounds, kind, owner, staff)


def extent(
    element: etree._Element, tag: str, glyphs: Glyphs
) -> tuple[float, float, float, float] | None:
    """What one drawn element bounds; None for what isn't drawn here (text, definitions)."""
    if tag == "use":
        return _use_box(element, glyphs)
    if tag == "path":
        half = float(element.get("stroke-width", "0")) / 2
        x0, y0, x1, y1 = _path_box(element.get("d", ""))
        return x0 - half, y0 - half, x1 + half, y1 + half
    if tag in ("polygon", "polyline"):
        return _points_box(_NUMBERS.findall(element.get("points", "")))
    if tag == "rect":
        x, y, w, h = (float(element.get(name, "0")) for name in ("x", "y", "width", "height"))
        return x, y, x + w, y + h
    if tag == "ellipse":
        x, y, w, h = (float(element.get(name, "0")) for name in ("cx", "cy", "rx", "ry"))
        return x - w, y - h, x + w, y + h
    return None


def _use_box(element: etree._Element, glyphs: Glyphs) -> tuple[float, float, float, float] | None:
    box = glyphs.get(element.get(_XLINK, element.get("href", "")).lstrip("#"))
    if box is None:
        return None
    transform = element.get("transform", "")
    moved, scaled = _TRANSLATE.search(transform), _SCALE.search(transform)
    dx, dy = (float(moved[1]), float(moved[2])) if moved else (0.0, 0.0)
    sx = float(scaled[1]) if scaled else 1.0
    sy = float(scaled[2]) if scaled and scaled[2] else sx
    x0, y0, x1, y1 = box
    return dx + sx * x0, dy + sy * y0, dx + sx * x1, dy + sy * y1


def _points_box(numbers: list[str]) -> tuple[float, float, float, float] | None:
    if len(numbers) < 2:
        return None
    values = [float(number) for number in numbers]
    xs, ys = values[0::2], values[1::2]
    return min(xs), min(ys), max(xs), max(ys)


def _path_box(path: str) -> tuple[float, float, float, float]:
    """Extent of a path; curves are followed, not merely their control points bounded."""
    pen = BoundsPen(None)
    parse_path(path, pen)
    return pen.bounds or (0.0, 0.0, 0.0, 0.0)
