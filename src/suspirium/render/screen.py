"""The engraved hymn for a screen: systems as SVG that take their colours from the page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from suspirium.plan.model import LeadingPlan
from suspirium.render.engrave.gapfigure import gap_figure
from suspirium.render.engrave.ink import ACCENT, INK
from suspirium.render.engrave.sheet import Engraver
from suspirium.render.fingering import NO_FINGERING, Fingering
from suspirium.render.plots import SHADE

_PAPER = "#FFFFFF"
_COLOURS = {
    INK: "var(--ink)",
    ACCENT: "var(--accent)",
    SHADE: "var(--band)",
    _PAPER: "var(--paper)",
}
_COLOUR = re.compile("|".join(_COLOURS), re.IGNORECASE)
_SIZE = re.compile(r' (?:width|height)="[\d.]+mm"')


@dataclass(frozen=True, slots=True)
class ScreenSystem:
    """One system as SVG text; `lines` are the numbers of the lines that end in it."""

    svg: str
    width_mm: float
    start_q: Fraction
    end_q: Fraction
    lines: tuple[int, ...]
    first_measure: int
    last_measure: int


@dataclass(frozen=True, slots=True)
class ScreenSheet:
    """All systems in order; `stanzas` are those set under the notes."""

    systems: tuple[ScreenSystem, ...]
    stanzas: tuple[int, ...]
    width_mm: float


def screen_sheet(
    plan: LeadingPlan, fingers: Fingering = NO_FINGERING, *, width_mm: float = 188.0
) -> ScreenSheet:
    """The hymn engraved `width_mm` wide at the breaks that suit it best there."""
    engraver = Engraver(plan, fingers.figures)
    best = min(engraver.breakings(width_mm), key=lambda breaking: breaking.cost)
    sheet = engraver.sheet(best.starts_q, width_mm)
    starts = [Fraction(0), *best.starts_q]
    ends = [*best.starts_q, plan.hymn.end_q]
    systems = tuple(
        ScreenSystem(
            for_screen(system.svg),
            system.width_mm,
            start_q,
            end_q,
            tuple(p.number for p in plan.phrases if start_q <= p.last_onset_q < end_q),
            *_measures(plan, start_q, end_q),
        )
        for system, start_q, end_q in zip(sheet.systems, starts, ends, strict=True)
    )
    return ScreenSheet(systems, sheet.stanzas, width_mm)


def screen_gap(plan: LeadingPlan, width_mm: float) -> str:
    """The stanza gap in counts, as SVG for the screen."""
    return for_screen(gap_figure(plan, width_mm)[0])


def for_screen(svg: str) -> str:
    """A drawing that fills the width it is given, its colours those of the page."""
    head, end, rest = svg[svg.index("<svg") :].partition(">")
    return coloured(_SIZE.sub("", head) + end + rest)


def coloured(svg: str) -> str:
    """A drawing with the colours of the page it stands on."""
    return _COLOUR.sub(lambda found: _COLOURS[found.group().upper()], svg)


def _measures(plan: LeadingPlan, start_q: Fraction, end_q: Fraction) -> Iterator[int]:
    """The first and the last measure of a system."""
    inside = [m.number for m in plan.hymn.measures if m.onset_q < end_q and m.end_q > start_q]
    yield inside[0]
    yield inside[-1]
