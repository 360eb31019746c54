"""The marked score as pages: PDF and SVG.

Size of notes and words, breaks of systems and pages are chosen together: the arrangement
at the least cost of tables/page.toml. Heights are measured, not guessed: systems by the
engraver, texts by the setter of the pages.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import atan, degrees, floor, inf

from suspirium.plan.model import LeadingPlan
from suspirium.render.caution import above_caution, with_caution
from suspirium.render.engrave.breaks import Breaking
from suspirium.render.engrave.sheet import (
    OVERHANG_LEFT_MM,
    OVERHANG_RIGHT_MM,
    Engraver,
    Sheet,
)
from suspirium.render.fingering import NO_FINGERING, Fingering
from suspirium.render.layout import (
    AREA,
    WIDTH_MM,
    Area,
    Block,
    Pagination,
    least_cost,
    paginate,
    place,
)
from suspirium.render.textblocks import Texts, measured_texts
from suspirium.render.typeset import Item, set_pages
from suspirium.render.typography import curly_prose
from suspirium.tables import load

_ENGRAVINGS = 6  # arrangements engraved before the best of them is taken
_HOPEFUL = 0.97  # of the foretold height: what may be lower is engraved to see


@dataclass(frozen=True, slots=True)
class MarkedScore:
    """The marked score: one PDF, the same pages as SVG; `scale` is the size of the music."""

    pdf: bytes
    svg_pages: tuple[bytes, ...]
    sheet: Sheet
    scale: float


def marked_score(plan: LeadingPlan, fingers: Fingering = NO_FINGERING) -> MarkedScore:
    """The score with the plan and `fingers` drawn in, the stanza gap, further stanzas and the
    reasons."""
    arranged = arrange(plan, fingers)
    title = curly_prose(plan.hymn.title or "Hymn")
    pages = arranged.items()
    return MarkedScore(
        set_pages(title, pages, "pdf")[0],
        tuple(set_pages(title, pages, "svg")),
        arranged.sheet,
        arranged.scale,
    )


def scales() -> list[float]:
    """The sizes of music that may be tried, full size among them, ascending."""
    table = load("page")
    least, step = least_scale(), table.number("scale.step")
    down = floor((1 - least) / step + 1e-9)
    up = floor((table["scale.most"] - 1) / step + 1e-9)
    return [1 + step * number for number in range(-down, up + 1)]


def least_scale() -> float:
    """The smallest size at which the words can be read fluently from the bench."""
    table = load("page")
    x_mm = table["words.x_height"] * table["words.size"]
    arcmin = 60 * degrees(atan(x_mm / table["reading_distance"]))
    return float(table["words.least_x_arcmin"] / arcmin)


# The arrangement ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Arranged:
    """The chosen arrangement: music at its size, texts, and the pages they share.

    `fingered` pages have the caution and the `legend` of the signs at their foot.
    """

    sheet: Sheet
    scale: float
    texts: Texts
    pages: Pagination
    fingered: bool = False
    legend: str = ""

    def items(self) -> list[list[Item]]:
        """What stands on each page, every item with its place."""
        single = len(self.pages.pages) == 1
        pages = [self._placed(page, _height(self.area, single)) for page in self.pages.pages]
        if not self.fingered:
            return pages
        return [with_caution(page, _height(AREA, single), self.legend) for page in pages]

    @property
    def area(self) -> Area:
        """Where blocks may stand."""
        return _area(self.fingered, self.legend)

    def _placed(self, page: Sequence[Block], height_mm: float) -> list[Item]:
        return [
            {**item, "x": item["x"], "y": item["y"] + placed.y_mm}
            for placed in place(page, height_mm)
            for item in self._items_of(placed.block)
        ]

    def _items_of(self, block: Block) -> list[Item]:
        if block.kind != "system":
            return self.texts.items[block.kind, block.index]
        system = self.sheet.systems[block.index]
        width = system.width_mm * self.scale
        return [{"kind": "system", "svg": system.svg, "width": width, "x": 0.0, "y": 0.0}]


def _area(fingered: bool, legend: str) -> Area:
    return above_caution(AREA, legend) if fingered else AREA


def _height(area: Area, single: bool) -> float:
    return area.single_mm if single else area.several_mm


@dataclass(frozen=True, slots=True)
class _Choice:
    """Breaks at a size, with what they cost before pages are counted."""

    breaking: Breaking
    scale: float
    cost: float


def arrange(plan: LeadingPlan, fingers: Fingering = NO_FINGERING) -> Arranged:
    """The cheapest arrangement of the hymn on pages.

    All sizes and numbers of systems are ranked with the heights known so far; the best is
    engraved, which tells its true heights, until no other promises to be better.
    """
    engraver = Engraver(plan, fingers.figures)
    words = measured_texts(plan, engraver.stanzas, fingers.reasons)
    fingered = bool(fingers.figures)
    area = _area(fingered, fingers.legend)
    choices = list(_choices(engraver))
    heights = _Heights(plan.hymn.end_q)
    plain = min(engraver.breakings(_engraved_mm(1)), key=lambda breaking: breaking.cost)
    heights.learn(plain, 1.0, engraver.sheet(plain.starts_q, _engraved_mm(1)))
    best: Arranged | None = None
    best_cost = inf
    for _ in range(min(_ENGRAVINGS, len(choices))):
        cost, choice = _most_promising(choices, heights, words, area)
        if cost >= best_cost:
            break
        choices.remove(choice)
        sheet = engraver.sheet(choice.breaking.starts_q, _engraved_mm(choice.scale))
        heights.learn(choice.breaking, choice.scale, sheet)
        pages = paginate(_blocks(heights.of(choice), words), area)
        if pages.cost + choice.cost < best_cost:
            best_cost = pages.cost + choice.cost
            best = Arranged(sheet, choice.scale, words, pages, fingered, fingers.legend)
    assert best is not None, "the first arrangement costs less than infinity"
    return best


def _engraved_mm(scale: float) -> float:
    """How wide to engrave so that the music at `scale` with its overhang fills the page."""
    return WIDTH_MM / scale - OVERHANG_LEFT_MM - OVERHANG_RIGHT_MM


def _choices(engraver: Engraver) -> Iterator[_Choice]:
    table = load("page")
    for scale in scales():
        size = table["cost.larger"] * max(0.0, scale - 1)
        size += table["cost.smaller"] * max(0.0, 1 - scale)
        for breaking in engraver.breakings(_engraved_mm(scale)):
            yield _Choice(breaking, scale, breaking.cost + size)


class _Heights:
    """Heights of systems at full size: engraved ones as they are, others foretold.

    A system is about as high as the highest of the systems in the reference that share music with
    it; the reference is the first sheet learnt and should have many systems.
    """

    def __init__(self, end_q: Fraction) -> None:
        self._end_q = end_q
        self._known: dict[tuple[tuple[Fraction, ...], float], list[float]] = {}
        self._reference: list[tuple[Fraction, float]] = []

    def learn(self, breaking: Breaking, scale: float, sheet: Sheet) -> None:
        found = [system.height_mm for system in sheet.systems]
        self._known[breaking.starts_q, scale] = found
        if not self._reference:
            starts = (Fraction(0), *breaking.starts_q)
            self._reference = list(zip(starts, found, strict=True))

    def of(self, choice: _Choice) -> list[float]:
        starts = choice.breaking.starts_q
        known = self._known.get((starts, choice.scale)) or list(self._foretold(starts))
        return [height * choice.scale for height in known]

    def _foretold(self, starts_q: Sequence[Fraction]) -> Iterator[float]:
        ends = [*(start for start, _ in self._reference[1:]), self._end_q]
        for start, end in pairwise([Fraction(0), *starts_q, self._end_q]):
            yield _HOPEFUL * max(
                height
                for (from_q, height), until_q in zip(self._reference, ends, strict=True)
                if from_q < end and start < until_q
            )


def _most_promising(
    choices: Sequence[_Choice], heights: _Heights, words: Texts, area: Area
) -> tuple[float, _Choice]:
    """The choice that costs least as far as heights are known, and what it costs."""
    blocks = {choice: _blocks(heights.of(choice), words) for choice in choices}
    bounds = {choice: choice.cost + least_cost(blocks[choice], area) for choice in choices}
    best_cost, best = inf, choices[0]
    for choice in sorted(choices, key=bounds.__getitem__):
        if bounds[choice] >= best_cost:
            break
        cost = choice.cost + paginate(blocks[choice], area).cost
        if cost < best_cost:
            best_cost, best = cost, choice
    return best_cost, best


def _blocks(system_heights_mm: Sequence[float], words: Texts) -> list[Block]:
    systems = [Block("system", height, i) for i, height in enumerate(system_heights_mm)]
    return [words.heading, *systems, *words.tail]
