"""Drawing: a small pen for SVG in the engraver's units, with what it drew kept as boxes."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from lxml import etree

from suspirium.render.engrave.face import FAMILY
from suspirium.render.engrave.lyrics import SetText
from suspirium.render.engrave.shapes import UNITS_PER_MM, Box

INK = "#15171A"
ACCENT = "#9B1C31"
_SVG = "{http://www.w3.org/2000/svg}"
# The stubs know no default namespace, lxml does.
SVG_NSMAP: Any = {None: "http://www.w3.org/2000/svg", "xlink": "http://www.w3.org/1999/xlink"}
_STYLES = {
    "regular": {},
    "bold": {"font-weight": "bold"},
    "italic": {"font-style": "italic"},
}


def mm(length: float) -> float:
    """Millimetres in drawing units."""
    return length * UNITS_PER_MM


@dataclass
class Pen:
    """Collects drawn elements below `group`, and their boxes."""

    group: etree._Element = field(default_factory=lambda: etree.Element(f"{_SVG}g"))
    boxes: list[Box] = field(default_factory=list)

    def line(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        width: float,
        kind: str,
        *,
        color: str = ACCENT,
        dash: str = "",
    ) -> None:
        """A straight line; `width` in units."""
        style = f"stroke:{color};stroke-width:{width:.1f};fill:none"
        if dash:
            style += f";stroke-dasharray:{dash}"
        self._add("path", d=f"M{x0:.1f} {y0:.1f} L{x1:.1f} {y1:.1f}", style=style)
        half = width / 2
        self.boxes.append(
            Box(
                min(x0, x1) - half, min(y0, y1) - half, max(x0, x1) + half, max(y0, y1) + half, kind
            )
        )

    def ring(
        self, x: float, y: float, radius: float, width: float, kind: str, *, fill: str = "#FFFFFF"
    ) -> None:
        """An open circle."""
        self._add(
            "ellipse",
            cx=f"{x:.1f}",
            cy=f"{y:.1f}",
            rx=f"{radius:.1f}",
            ry=f"{radius:.1f}",
            style=f"stroke:{ACCENT};stroke-width:{width:.1f};fill:{fill}",
        )
        self.boxes.append(Box(x - radius, y - radius, x + radius, y + radius, kind))

    def oval(
        self, x: float, y: float, rx: float, ry: float, width: float, kind: str, *, dash: str = ""
    ) -> None:
        """An open oval in ink, broken with `dash`."""
        style = f"stroke:{INK};stroke-width:{width:.1f};fill:none"
        if dash:
            style += f";stroke-dasharray:{dash}"
        places = {"cx": x, "cy": y, "rx": rx, "ry": ry}
        self._add("ellipse", style=style, **{name: f"{at:.1f}" for name, at in places.items()})
        self.boxes.append(Box(x - rx, y - ry, x + rx, y + ry, kind))

    def dot(self, x: float, y: float, radius: float, kind: str) -> None:
        """A full dot in the accent."""
        self._add(
            "ellipse",
            cx=f"{x:.1f}",
            cy=f"{y:.1f}",
            rx=f"{radius:.1f}",
            ry=f"{radius:.1f}",
            style=f"fill:{ACCENT};stroke:none",
        )
        self.boxes.append(Box(x - radius, y - radius, x + radius, y + radius, kind))

    def path(
        self,
        d: str,
        extent: tuple[float, float, float, float],
        kind: str,
        *,
        fill: str = ACCENT,
        stroke: float = 0.0,
        ink: bool = False,
    ) -> None:
        """A shape of our own with its known extent; its line in the accent, or in `ink`."""
        color = INK if ink else ACCENT
        line = f"stroke:{color};stroke-width:{stroke:.1f}" if stroke else "stroke:none"
        self._add("path", d=d, style=f"fill:{fill};{line}")
        self.boxes.append(Box(*extent, kind))

    def text(self, item: SetText) -> None:
        """Text in the book face."""
        color = ACCENT if item.accent else INK
        element = self._add(
            "text",
            x=f"{item.x:.1f}",
            y=f"{item.y:.1f}",
            **{"font-family": FAMILY, "font-size": f"{item.size:.1f}px", **_STYLES[item.style]},
            style=f"fill:{color};stroke:none",
        )
        element.text = item.text
        self.boxes.append(item.box)

    def _add(self, tag: str, **attributes: str) -> etree._Element:
        return etree.SubElement(self.group, f"{_SVG}{tag}", attrib=attributes)
