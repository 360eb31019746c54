"""The engraved hymn with its plan: one SVG a system, ready for the page."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from fractions import Fraction

from lxml import etree

from suspirium.plan.model import LeadingPlan
from suspirium.render.engrave.breaks import Place, choose_breaks, cuts
from suspirium.render.engrave.ink import INK, SVG_NSMAP, Pen, mm
from suspirium.render.engrave.lyrics import WORD_SIZE, SetText, set_line
from suspirium.render.engrave.marks import draw_marks
from suspirium.render.engrave.mei import MeiWriter, Piece, pieces
from suspirium.render.engrave.shapes import UNITS_PER_MM, Box
from suspirium.render.engrave.systems import System, draw, systems

_SVG = "http://www.w3.org/2000/svg"
_SPACING = 0.13
_STANZAS_UNDERLAID = 6
_LEFT_MM, _RIGHT_MM = 1.0, 4.0  # room for signs that hang over the staff's ends


@dataclass(frozen=True, slots=True)
class EngravedSystem:
    """One system as SVG text with its size in millimetres, and all that is drawn in it."""

    svg: str
    width_mm: float
    height_mm: float
    boxes: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The systems of a hymn in order; `stanzas` are the ones set under the notes."""

    systems: tuple[EngravedSystem, ...]
    stanzas: tuple[int, ...]


def engrave(plan: LeadingPlan, *, width_mm: float = 188.0, page_mm: float = 234.0) -> Sheet:
    """The hymn engraved `width_mm` wide with the plan drawn over it.

    Lines of verse are joined in one system only where that saves a page of `page_mm`.
    """
    hymn = plan.hymn
    stanzas = tuple(s.number for s in hymn.stanzas)[:_STANZAS_UNDERLAID]
    starts = [phrase.first_onset_q for phrase in plan.phrases]
    inside = cuts(hymn, starts)
    endless = _drawn(plan, stanzas, pieces(hymn, inside, ()), width_mm, broken=False)[0][0]
    breaks = _breaks(plan, endless, inside, width_mm, page_mm, len(stanzas))
    found, svg = _drawn(plan, stanzas, pieces(hymn, inside, breaks), width_mm, broken=True)
    margin = _margin(stanzas)
    done = tuple(_finished(system, svg, plan, stanzas, margin, width_mm) for system in found)
    return Sheet(done, stanzas)


def _drawn(
    plan: LeadingPlan, stanzas: Sequence[int], parts: list[Piece], width_mm: float, *, broken: bool
) -> tuple[list[System], etree._Element]:
    writer = MeiWriter(plan.hymn, stanzas)
    mei = writer.write(parts)
    svg = draw(mei, width_mm=width_mm, spacing=_SPACING, broken=broken)
    ends = {f"m{index}": piece.end_q for index, piece in enumerate(parts)}
    return systems(svg, writer.onset_of, ends), svg


def _breaks(
    plan: LeadingPlan,
    endless: System,
    inside: Sequence[Fraction],
    width_mm: float,
    page_mm: float,
    lines: int,
) -> list[Fraction]:
    hymn = plan.hymn
    verses = {phrase.first_onset_q for phrase in plan.phrases}
    bars = [m.onset_q for m in hymn.measures if m.onset_q > 0]
    at = sorted({Fraction(0), *bars, *inside})
    first_x = endless.x_at(endless.start_q)
    places = [Place(q, endless.x_at(q) if q else first_x, q in verses) for q in at]
    head = first_x - endless.x0
    width = mm(width_mm)
    height = endless.staves[-1][1] - endless.staves[0][0] + mm(18)
    options = [
        choose_breaks(places, endless.x1, head, width, per_system)[0] for per_system in (0.0, 3.0)
    ]

    def pages(breaks: list[Fraction]) -> int:
        return -(-int((len(breaks) + 1) * height) // int(mm(page_mm)))

    loose, packed = options
    return packed if pages(packed) < pages(loose) else loose


def _margin(stanzas: Sequence[int]) -> float:
    return mm(4.2) if stanzas else 0.0


def _finished(
    system: System,
    svg: etree._Element,
    plan: LeadingPlan,
    stanzas: Sequence[int],
    margin: float,
    width_mm: float,
) -> EngravedSystem:
    pen = Pen()
    words = Pen()
    _set_words(system, plan, stanzas, margin, words)
    dressed = replace(system, boxes=(*system.boxes, *words.boxes))
    draw_marks(dressed, plan, stanzas, pen)
    drawn = (*dressed.boxes, *pen.boxes)
    top = min(box.y0 for box in drawn) - mm(0.6)
    bottom = max(max(box.y1 for box in drawn), system.staves[-1][1]) + mm(0.6)
    root = etree.Element(f"{{{_SVG}}}svg", nsmap=SVG_NSMAP)
    left = -mm(_LEFT_MM)
    width = mm(width_mm) + mm(_LEFT_MM + _RIGHT_MM)
    root.set("viewBox", f"{left:.0f} {top:.0f} {width:.0f} {bottom - top:.0f}")
    root.set("width", f"{width / UNITS_PER_MM:.2f}mm")
    root.set("height", f"{(bottom - top) / UNITS_PER_MM:.2f}mm")
    root.set("color", INK)
    root.set("fill", INK)
    for part in ("defs", "style"):
        for element in svg.iter(f"{{{_SVG}}}{part}"):
            root.append(deepcopy(element))
            break
    wrapper = etree.SubElement(root, f"{{{_SVG}}}g", id=svg.get("id", ""))
    wrapper.append(deepcopy(system.group))
    root.append(words.group)
    root.append(pen.group)
    return EngravedSystem(
        etree.tostring(root, encoding="unicode"),
        width / UNITS_PER_MM,
        (bottom - top) / UNITS_PER_MM,
        drawn,
    )


def _set_words(
    system: System, plan: LeadingPlan, stanzas: Sequence[int], margin: float, pen: Pen
) -> None:
    by_number = {stanza.number: stanza for stanza in plan.hymn.stanzas}
    present = [
        (line, number)
        for line, number in enumerate(stanzas, 1)
        if any(system.start_q <= s.onset_q < system.end_q for s in by_number[number].syllables)
    ]
    ys = [system.verse_y[index] for index in sorted(system.verse_y)]
    for (_, number), y in zip(present, ys, strict=False):
        texts, rules = set_line(system, by_number[number], y, margin)
        for item in texts:
            pen.text(item)
        for rule in rules:
            pen.line(rule.x0, rule.y, rule.x1, rule.y, mm(0.18), "extender", color=INK)
        if len(present) > 1:
            pen.text(SetText(0.0, y, str(number), WORD_SIZE * 0.92, "bold", "number"))
