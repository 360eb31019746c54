"""The engraved systems: the engraver's drawing cut apart and measured."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from threading import Lock
from typing import Any

from lxml import etree

from suspirium.render.engrave.face import FAMILY, engraver_resources
from suspirium.render.engrave.opening import move_staff
from suspirium.render.engrave.shapes import UNITS_PER_MM, Box, Glyphs, boxes, glyph_boxes

_SVG = "{http://www.w3.org/2000/svg}"
_DESCENT = 0.25 * 4.66 * UNITS_PER_MM  # of the words under the notes
_OPTIONS = {
    "header": "none",
    "footer": "none",
    "svgViewBox": True,
    "adjustPageHeight": True,
    "pageHeight": 60000,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "scale": 100,
    "lyricSize": 5.3,
    "lyricHeightFactor": 1.12,
    "lyricTopMinMargin": 3.1,
    "lyricWordSpace": 1.5,
    "spacingNonLinear": 0.62,
    "spacingSystem": 6,
    "spacingStaff": 9,
    "minLastJustification": 0.0,
    "xmlIdSeed": 1,
}


@dataclass(frozen=True, slots=True)
class System:
    """One engraved system.

    `group` is its drawing, `boxes` everything drawn in it, `staves` the (top, bottom)
    lines, `heads` the notehead box of every note id, `places` score time against x,
    ascending; `verse_y` the baselines of the words, by line.
    """

    group: etree._Element
    boxes: tuple[Box, ...]
    staves: tuple[tuple[float, float], ...]
    heads: Mapping[str, Box]
    places: tuple[tuple[Fraction, float], ...]
    melody_q: tuple[Fraction, ...]
    x0: float
    x1: float
    start_q: Fraction
    end_q: Fraction
    verse_y: Mapping[int, float]

    def x_at(self, at_q: Fraction) -> float:
        """Where score time stands, linear between the notes; clamped to the system."""
        index = bisect_right(self.places, at_q, key=lambda place: place[0])
        if index == 0:
            return self.places[0][1]
        if index == len(self.places):
            return self.places[-1][1]
        (q0, xa), (q1, xb) = self.places[index - 1], self.places[index]
        return xa + (xb - xa) * float((at_q - q0) / (q1 - q0))

    @property
    def lower_from(self) -> float:
        """What lies below this height belongs to the lowest staff: below the words, or the
        middle between the staves."""
        if self.verse_y:
            return max(self.verse_y.values()) + _DESCENT
        return (self.staves[max(0, len(self.staves) - 2)][1] + self.staves[-1][0]) / 2

    def is_lower(self, box: Box) -> bool:
        """Whether something drawn belongs to the lowest staff."""
        if box.staff >= 0:
            return box.staff == len(self.staves) - 1
        return (box.y0 + box.y1) / 2 > self.lower_from

    def top_between(self, xa: float, xb: float, extra: Sequence[Box] = ()) -> float:
        """The highest point drawn between two x above the upper staff; its top line at least."""
        tops = [b.y0 for b in (*self.boxes, *extra) if b.x1 > xa and b.x0 < xb]
        return min([self.staves[0][0], *tops])

    def bottom_between(self, xa: float, xb: float, extra: Sequence[Box] = ()) -> float:
        """The lowest point drawn between two x; the lowest staff line at least."""
        bottoms = [b.y1 for b in (*self.boxes, *extra) if b.x1 > xa and b.x0 < xb]
        return max([self.staves[-1][1], *bottoms])


_ONE_AT_A_TIME = Lock()  # the engraver keeps options and music between calls


@cache
def _toolkit() -> Any:
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit(False)
    toolkit.setResourcePath(str(engraver_resources()))
    return toolkit


def draw(mei: str, *, width_mm: float, spacing: float, broken: bool) -> etree._Element:
    """The engraver's drawing of `mei` on one endless page, as SVG.

    `spacing` is how far a quarter pushes the next note away; without `broken` everything
    stands in one system at its natural width.
    """
    options = {
        **_OPTIONS,
        "breaks": "encoded" if broken else "none",
        "pageWidth": round(width_mm * UNITS_PER_MM / 10),
        "spacingLinear": spacing,
    }
    with _ONE_AT_A_TIME:
        toolkit = _toolkit()
        toolkit.setOptions(options)
        toolkit.loadData(mei)
        drawn = toolkit.renderToSVG(1)
    return etree.fromstring(drawn.encode())


def systems(
    svg: etree._Element, onset_of: Mapping[str, Fraction], ends: Mapping[str, Fraction]
) -> list[System]:
    """The systems of a drawing; `onset_of` gives the score time of note ids, `ends` the end
    of measure ids."""
    glyphs = glyph_boxes(svg)
    groups = [group for group in svg.iter(f"{_SVG}g") if group.get("class") == "system"]
    return [_system(group, glyphs, onset_of, ends) for group in groups]


def _system(
    group: etree._Element,
    glyphs: dict[str, tuple[float, float, float, float]],
    onset_of: Mapping[str, Fraction],
    ends: Mapping[str, Fraction],
) -> System:
    verse_y = _verse_lines(group)
    _strip(group)
    _own_face(group)
    drawn = boxes(group, glyphs)
    lines = _staff_lines(group)
    x1 = max(line[1] for line in lines)
    heads = {box.owner.split("p")[0]: box for box in drawn if box.kind == "notehead"}
    places: dict[Fraction, float] = {}
    for name, head in heads.items():
        onset_q = onset_of.get(name)
        if onset_q is not None:
            x = (head.x0 + head.x1) / 2
            places[onset_q] = min(x, places.get(onset_q, x))
    measures = [g.get("id", "") for g in group.iter(f"{_SVG}g") if g.get("class") == "measure"]
    end_q = ends[measures[-1]]
    ordered = [*sorted(places.items()), (end_q, x1)]
    return System(
        group=group,
        boxes=_kept(drawn),
        staves=_staves(lines),
        heads=heads,
        places=tuple(ordered),
        melody_q=tuple(sorted(onset_of[name] for name in heads if name.startswith("n0-"))),
        x0=min(line[0] for line in lines),
        x1=x1,
        start_q=ordered[0][0],
        end_q=end_q,
        verse_y=verse_y,
    )


def _kept(drawn: Sequence[Box]) -> tuple[Box, ...]:
    """All that signs must stand clear of: staff lines are no obstacle."""
    return tuple(b for b in drawn if b.kind not in ("staff", "section", "system"))


def opened(system: System, glyphs: Glyphs, by: float) -> System:
    """The system with its lowest staff moved down, its drawing changed in place."""
    move_staff(system.group, glyphs, len(system.staves) - 1, system.lower_from, by)
    drawn = boxes(system.group, glyphs)
    top, bottom = system.staves[-1]
    return replace(
        system,
        boxes=_kept(drawn),
        staves=(*system.staves[:-1], (top + by, bottom + by)),
        heads={box.owner.split("p")[0]: box for box in drawn if box.kind == "notehead"},
    )


def _verse_lines(group: etree._Element) -> dict[int, float]:
    """Baselines of the words the engraver reserved room for, numbered from the top."""
    found = {
        float(text.get("y", "0"))
        for verse in group.iter(f"{_SVG}g")
        if verse.get("class") == "verse"
        for text in verse.iter(f"{_SVG}text")
    }
    return dict(enumerate(sorted(found), 1))


def _strip(group: etree._Element) -> None:
    """Words and bar numbers go: the words are set anew, bars carry no numbers."""
    for element in list(group.iter(f"{_SVG}g")):
        kinds = element.get("class", "").split(" ")
        parent = element.getparent()
        if parent is not None and {"verse", "syl", "mNum", "placeholder"} & set(kinds):
            parent.remove(element)


def _own_face(group: etree._Element) -> None:
    """What text is left (endings, tuplet figures, fingering) takes the book face."""
    for text in group.iter(f"{_SVG}text"):
        text.set("font-family", FAMILY)
        text.set("style", "stroke:none")


def _staff_lines(group: etree._Element) -> list[tuple[float, float, float]]:
    lines = []
    for staff in group.iter(f"{_SVG}g"):
        if staff.get("class") == "staff":
            for path in staff.findall(f"{_SVG}path")[:5]:
                x0, y, x1, _ = (
                    float(n) for n in path.get("d", "").replace("M", "").replace("L", "").split()
                )
                lines.append((x0, x1, y))
    return lines


def _staves(lines: list[tuple[float, float, float]]) -> tuple[tuple[float, float], ...]:
    heights = sorted({y for _, _, y in lines})
    return tuple((heights[i], heights[i + 4]) for i in range(0, len(heights) - 4, 5))
