"""The engraved hymn with its plan: one SVG a system, ready for the page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from lxml import etree

from suspirium.plan.model import LeadingPlan
from suspirium.render.engrave.breaks import Breaking, Place, breakings, cuts
from suspirium.render.engrave.face import text_width
from suspirium.render.engrave.figures import NO_FIGURES, Figures, draw_figures, lacking
from suspirium.render.engrave.ink import INK, SVG_NSMAP, Pen, mm
from suspirium.render.engrave.lyrics import WORD_SIZE, SetText, fitting_size, set_line
from suspirium.render.engrave.marks import draw_marks
from suspirium.render.engrave.mei import MeiWriter
from suspirium.render.engrave.shapes import UNITS_PER_MM, Box, glyph_boxes
from suspirium.render.engrave.staffing import Piece, Staffing, pieces
from suspirium.render.engrave.systems import System, draw, opened, systems
from suspirium.render.typography import curly_hymn
from suspirium.score.model import Hymn
from suspirium.tables import load

_SVG = "http://www.w3.org/2000/svg"
# How far a quarter pushes the next note away, the roomiest first that fits.
_SPACINGS = (0.32, 0.24, 0.18, 0.13)
_NUMBER_X, _NUMBER_SIZE = mm(0.7), WORD_SIZE * 0.92  # clear of the line that joins the staves
_HEAD_SIGNS = frozenset({"clef", "keySig", "keyAccid", "meterSig"})
_ENDLESS_MM = 188.0  # nothing breaks there, any width does
OVERHANG_LEFT_MM, OVERHANG_RIGHT_MM = 1.0, 4.0  # room for signs that hang over the staff's ends
Over = Callable[[System, LeadingPlan, Pen], None]
"""Draws signs over an engraved system, clear of all that is there."""


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


def engrave(plan: LeadingPlan, *, width_mm: float = 188.0) -> Sheet:
    """The hymn engraved `width_mm` wide at the breaks that suit the music best."""
    engraver = Engraver(plan)
    best = min(engraver.breakings(width_mm), key=lambda breaking: breaking.cost)
    return engraver.sheet(best.starts_q, width_mm)


class Engraver:
    """Engraves one hymn at any breaks and widths; measures its music only once.

    Systems begin at barlines and at lines of verse; a line that begins where a voice still
    sounds counts from the barline nearest to it. `over` draws over the music: the plan, where
    nothing else is asked for.
    """

    def __init__(
        self,
        plan: LeadingPlan,
        figures: Figures = NO_FIGURES,
        *,
        staves: Staffing | None = None,
        over: Over = draw_marks,
    ) -> None:
        hymn = curly_hymn(plan.hymn)
        self.plan = plan = replace(plan, hymn=without_fingering(hymn) if figures else hymn)
        self.figures = figures
        self._staves = staves
        self._over = over
        self.stanzas = underlaid(plan.hymn, load("page")["stanzas_underlaid"])
        verses = sorted({phrase.first_onset_q for phrase in plan.phrases})
        self._cuts = cuts(plan.hymn, verses)
        bars = [measure.onset_q for measure in plan.hymn.measures if measure.onset_q > 0]
        self._starts = sorted({Fraction(0), *bars, *self._cuts})
        self._verses = {min(self._starts, key=lambda q: abs(q - verse)) for verse in verses}
        self._walls = walls(plan.hymn, sorted(self._verses))
        self._lines: dict[float, System] = {}

    def breakings(self, width_mm: float) -> list[Breaking]:
        """The best breaks for each number of systems `width_mm` wide."""
        line = self._line(_SPACINGS[-1])
        first_x = line.x_at(line.start_q)
        places = [Place(q, line.x_at(q) if q else first_x, q in self._verses) for q in self._starts]
        return breakings(places, line.x1, first_x - line.x0, mm(width_mm))

    def sheet(self, starts_q: Sequence[Fraction], width_mm: float) -> Sheet:
        """The hymn engraved with new systems at `starts_q`, the plan drawn over it."""
        spacing = next(
            (s for s in _SPACINGS if _fits(self._line(s), starts_q, width_mm)), _SPACINGS[-1]
        )
        parts = pieces(self.plan.hymn, self._cuts, starts_q)
        found, svg = self._drawn(parts, width_mm, spacing, broken=True)
        margin = _margin(self.stanzas)
        return Sheet(
            tuple(
                _finished(
                    s, svg, self.plan, self.figures, self._over, self.stanzas, margin, width_mm
                )
                for s in found
            ),
            self.stanzas,
        )

    def _line(self, spacing: float) -> System:
        """All the music in one line at its natural width."""
        if spacing not in self._lines:
            parts = pieces(self.plan.hymn, self._cuts, ())
            self._lines[spacing] = self._drawn(parts, _ENDLESS_MM, spacing, broken=False)[0][0]
        return self._lines[spacing]

    def _drawn(
        self, parts: list[Piece], width_mm: float, spacing: float, *, broken: bool
    ) -> tuple[list[System], etree._Element]:
        writer = MeiWriter(self.plan.hymn, self.stanzas, staves=self._staves)
        svg = draw(writer.write(parts), width_mm=width_mm, spacing=spacing, broken=broken)
        ends = {f"m{index}": piece.end_q for index, piece in enumerate(parts)}
        return systems(svg, writer.onset_of, ends), svg


def underlaid(hymn: Hymn, most: int) -> tuple[int, ...]:
    """The stanzas to set under the notes: in order, at no note more than `most`.

    Where some stanzas are sung to one half of a tune and others to the other, each half has
    room for its own.
    """
    rows: Counter[Fraction] = Counter()
    chosen = []
    for stanza in hymn.stanzas:
        onsets = {syllable.onset_q for syllable in stanza.syllables}
        if all(rows[onset_q] < most for onset_q in onsets):
            rows.update(onsets)
            chosen.append(stanza.number)
    return tuple(chosen)


def walls(hymn: Hymn, verses_q: Sequence[Fraction]) -> set[Fraction]:
    """Where one group of stanzas hands over to another: their words cannot share a system."""
    ends = [*verses_q[1:], hymn.end_q]
    singing = [
        {
            stanza.number
            for stanza in hymn.stanzas
            if any(start <= syllable.onset_q < end for syllable in stanza.syllables)
        }
        for start, end in zip(verses_q, ends, strict=True)
    ]
    return {
        start
        for start, (before, after) in zip(verses_q[1:], pairwise(singing), strict=True)
        if before and after and not before & after
    }


def without_fingering(hymn: Hymn) -> Hymn:
    """The hymn without the figures of its source: they come back among ours."""
    voices = tuple(
        replace(voice, notes=tuple(replace(note, fingering=()) for note in voice.notes))
        for voice in hymn.voices
    )
    return replace(hymn, voices=voices)


def _fits(line: System, starts_q: Sequence[Fraction], width_mm: float) -> bool:
    """Whether every system's natural width is no more than the page has."""
    head = line.x_at(line.start_q) - line.x0
    xs = [line.x_at(line.start_q), *(line.x_at(at_q) for at_q in starts_q), line.x1]
    return all(b - a + head <= mm(width_mm) for a, b in pairwise(xs))


def _margin(stanzas: Sequence[int]) -> float:
    """Room for the stanzas' numbers before the words."""
    if not stanzas:
        return 0.0
    return _NUMBER_X + max(text_width(str(n), _NUMBER_SIZE, "bold") for n in stanzas) + mm(1.9)


def _finished(
    system: System,
    svg: etree._Element,
    plan: LeadingPlan,
    figures: Figures,
    over: Over,
    stanzas: Sequence[int],
    margin: float,
    width_mm: float,
) -> EngravedSystem:
    pen, words, fingers = Pen(), Pen(), Pen()
    _set_words(system, plan, stanzas, margin, words)
    by = lacking(_with(system, words), figures)
    if by:
        system = opened(system, glyph_boxes(svg), by)
    draw_figures(_with(system, words), figures, fingers)
    over(_with(system, words, fingers), plan, pen)
    drawn = (*system.boxes, *words.boxes, *fingers.boxes, *pen.boxes)
    top = min(box.y0 for box in drawn) - mm(0.6)
    bottom = max(max(box.y1 for box in drawn), system.staves[-1][1]) + mm(0.6)
    root = etree.Element(f"{{{_SVG}}}svg", nsmap=SVG_NSMAP)
    left = -mm(OVERHANG_LEFT_MM)
    width = mm(width_mm) + mm(OVERHANG_LEFT_MM + OVERHANG_RIGHT_MM)
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
    root.append(fingers.group)
    root.append(pen.group)
    return EngravedSystem(
        etree.tostring(root, encoding="unicode"),
        width / UNITS_PER_MM,
        (bottom - top) / UNITS_PER_MM,
        drawn,
    )


def _with(system: System, *pens: Pen) -> System:
    """The system with what was drawn over it among its boxes."""
    return replace(system, boxes=(*system.boxes, *(box for pen in pens for box in pen.boxes)))


def _clear_left(system: System, y: float, size: float, margin: float) -> float:
    """Where words on baseline `y` may begin: right of a clef that hangs down to them."""
    first_x = system.places[0][1]
    hanging = [
        box.x1
        for box in system.boxes
        if box.kind in _HEAD_SIGNS and box.y0 < y and box.y1 > y - 0.7 * size and box.x1 < first_x
    ]
    return max([margin, *(x1 + mm(0.3) for x1 in hanging)])


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
    size = fitting_size(system, [by_number[number] for _, number in present], margin)
    for (_, number), y in zip(present, ys, strict=False):
        left = _clear_left(system, y, size, margin)
        texts, rules = set_line(system, by_number[number], y, left, size)
        for item in texts:
            pen.text(item)
        for rule in rules:
            pen.line(rule.x0, rule.y, rule.x1, rule.y, mm(0.18), "extender", color=INK)
        if len(present) > 1 or number != min(by_number):
            pen.text(SetText(_NUMBER_X, y, str(number), _NUMBER_SIZE, "bold", "number"))
