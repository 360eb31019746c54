"""The score with the places of a take marked: a page of its own at the end of the report.

Notes are ringed: a full ring for a wrong one, a broken ring for one not played; what is said
of them stands above the upper staff or below the lower one, joined to the note by a line.
What happened at a line's end stands above its last note. Figures are stanzas.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import sqrt

from suspirium.plan.model import LeadingPlan
from suspirium.render.engrave.face import text_width
from suspirium.render.engrave.ink import INK, Pen, mm
from suspirium.render.engrave.lyrics import SetText
from suspirium.render.engrave.shapes import Box
from suspirium.render.engrave.sheet import (
    OVERHANG_LEFT_MM,
    OVERHANG_RIGHT_MM,
    EngravedSystem,
    Engraver,
)
from suspirium.render.engrave.systems import System
from suspirium.render.take_places import Spot, spots
from suspirium.score.model import Hymn
from suspirium.take.report import TakeReport

_SIZE = mm(3.3)  # on paper, at whatever size the music is
_CLEAR = mm(0.9)
_RING = mm(0.7)  # beyond the notehead
_THICK, _THIN = mm(0.42), mm(0.16)
_BETWEEN = mm(1.0)
_PLACE = "place"
_LEAST_SCALE, _STEP = 0.6, 0.04


@dataclass(frozen=True, slots=True)
class MarkedTake:
    """The systems to print one below the other, at `scale` of their own size."""

    systems: tuple[EngravedSystem, ...]
    scale: float

    @property
    def height_mm(self) -> float:
        """Of all systems together, as printed."""
        return self.scale * sum(system.height_mm for system in self.systems)


def marked_take(
    report: TakeReport, plan: LeadingPlan, *, width_mm: float, height_mm: float
) -> MarkedTake | None:
    """The score with what happened in the take, as large as fits a page of this size.

    None where nothing is to be marked. The first stanza's words are enough to find the
    place by. A long hymn that fits at no size goes on to a further page at the smallest.
    """
    found = spots(report, plan)
    if not found:
        return None
    first = replace(plan, hymn=replace(plan.hymn, stanzas=plan.hymn.stanzas[:1]))
    marked = _at(first, found, 1.0, width_mm)
    while marked.scale > _LEAST_SCALE and (height := marked.height_mm) > height_mm:
        smaller = min(marked.scale - _STEP, marked.scale * sqrt(height_mm / height))
        marked = _at(first, found, max(_LEAST_SCALE, smaller), width_mm)
    return marked


def _at(plan: LeadingPlan, found: Sequence[Spot], scale: float, width_mm: float) -> MarkedTake:
    engraver = Engraver(plan, over=partial(_draw, found, _SIZE / scale))
    engraved_mm = width_mm / scale - OVERHANG_LEFT_MM - OVERHANG_RIGHT_MM
    best = min(engraver.breakings(engraved_mm), key=lambda breaking: breaking.cost)
    return MarkedTake(engraver.sheet(best.starts_q, engraved_mm).systems, scale)


def _draw(found: Sequence[Spot], size: float, system: System, plan: LeadingPlan, pen: Pen) -> None:
    """From the right, so that a line down to a note passes no words but its own."""
    here = [spot for spot in found if system.start_q <= spot.onset_q < system.end_q]
    for spot in reversed(here):
        head = _head(system, plan.hymn, spot)
        if head is not None and spot.sign != "extra":
            _ring(head, pen, broken=spot.sign == "missing")
        if head is not None and _lower(system, head):
            _below(system, spot, head, size, pen)
        else:
            _above(system, spot, head, size, pen)


def _head(system: System, hymn: Hymn, spot: Spot) -> Box | None:
    """The notehead that is meant; another voice's where two voices share it."""
    if not spot.voice:
        return None
    names = [voice.name for voice in hymn.voices]
    own = names.index(spot.voice)
    heads = (
        system.heads.get(name)
        for voice in (own, *(v for v in range(len(names)) if v != own))
        for name in _names(hymn, voice, spot)
    )
    return next((head for head in heads if head is not None), None)


def _names(hymn: Hymn, voice: int, spot: Spot) -> Iterator[str]:
    for index, note in enumerate(hymn.voices[voice].notes):
        if note.onset_q == spot.onset_q and not note.is_rest:
            shared = spot.midi is None or any(p.midi == spot.midi for p in note.pitches)
            if shared or hymn.voices[voice].name == spot.voice:
                yield f"n{voice}-{index}"


def _lower(system: System, head: Box) -> bool:
    return len(system.staves) > 1 and system.is_lower(head)


def _ring(head: Box, pen: Pen, *, broken: bool) -> None:
    x, y = (head.x0 + head.x1) / 2, (head.y0 + head.y1) / 2
    rx, ry = (head.x1 - head.x0) / 2 + _RING, (head.y1 - head.y0) / 2 + _RING
    pen.oval(x, y, rx, ry, _THICK, "ring", dash=f"{mm(0.9):.0f} {mm(0.7):.0f}" if broken else "")


def _above(system: System, spot: Spot, head: Box | None, size: float, pen: Pen) -> None:
    at_x = (head.x0 + head.x1) / 2 if head else system.x_at(spot.onset_q)
    x, width = _span(system, spot, at_x, size)
    y = system.top_between(x - _CLEAR, x + width, pen.boxes) - _CLEAR - 0.24 * size
    foot = head.y0 - _RING if head else system.top_between(at_x - mm(1), at_x + mm(1)) - mm(0.4)
    _join(at_x, y + 0.26 * size, foot, pen)
    _words(spot, x, y, size, pen)


def _below(system: System, spot: Spot, head: Box, size: float, pen: Pen) -> None:
    at_x = (head.x0 + head.x1) / 2
    x, width = _span(system, spot, at_x, size)
    y = system.bottom_between(x - _CLEAR, x + width, pen.boxes) + _CLEAR + 0.74 * size
    _join(at_x, head.y1 + _RING, y - 0.74 * size, pen)
    _words(spot, x, y, size, pen)


def _span(system: System, spot: Spot, at_x: float, size: float) -> tuple[float, float]:
    """Where the words begin and how wide they are."""
    width = _figure_width(spot, size) + text_width(spot.text, size) + 2 * _BETWEEN
    return max(system.x0, min(at_x - mm(0.8), system.x1 - width)), width


def _figure_width(spot: Spot, size: float) -> float:
    return text_width(f"{spot.stanzas}:", size, "bold") + _BETWEEN


def _join(x: float, top: float, bottom: float, pen: Pen) -> None:
    """The line between words and note, where no other words stand in its way; it hinders
    nothing that comes later."""
    blocked = any(
        box.kind == _PLACE and box.x0 < x < box.x1 and box.y0 < bottom and box.y1 > top
        for box in pen.boxes
    )
    if bottom > top and not blocked:
        pen.line(x, top, x, bottom, _THIN, _PLACE, color=INK)
        pen.boxes.pop()


def _words(spot: Spot, x: float, y: float, size: float, pen: Pen) -> None:
    pen.text(SetText(x, y, f"{spot.stanzas}:", size, "bold", _PLACE))
    pen.text(SetText(x + _figure_width(spot, size), y, spot.text, size, "regular", _PLACE))
