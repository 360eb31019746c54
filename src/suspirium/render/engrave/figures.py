"""Fingers and feet as signs at the notes: what stands where, and the drawing of it.

The right hand's figures stand over the upper staff, in the order of the keys; the left
hand's over the lower staff, and so does the right foot; the left foot stands below. Where
there is one staff all stands over it but the left foot. They are set in ink, as what is
played; bold is what the score or the player set.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from suspirium.render.engrave.face import text_width
from suspirium.render.engrave.ink import INK, Pen, mm
from suspirium.render.engrave.lyrics import SetText
from suspirium.render.engrave.shapes import Box
from suspirium.render.engrave.systems import System
from suspirium.score.model import Hymn
from suspirium.tables import load
from suspirium.technique.model import FootPart, PlayedNote, Plays

Where = Literal["top", "between", "below"]
_SIZE = mm(load("page").number("figures.size"))
_LINE = 0.86 * _SIZE  # from one figure's baseline to the next one's
_CLEAR = mm(0.55)
_FOOT_HIGH, _FOOT_WIDE = mm(2.2), mm(2.0)
_STROKE = mm(0.42)
_SMALL = mm(2.9)
_BESIDE = mm(0.25)


@dataclass(frozen=True, slots=True)
class Sign:
    """One figure ("4", "4–5", "×") or foot; `corner` where a voice is played by the other hand."""

    text: str = ""
    foot: FootPart | None = None
    corner: bool = False
    slides: bool = False  # comes sliding from the key before
    joins: bool = False  # takes over silently from the other foot or part
    crosses: Literal["", "front", "behind"] = ""
    fixed: bool = False

    @property
    def width(self) -> float:
        own = _FOOT_WIDE if self.foot else text_width(self.text, _SIZE, self.style)
        letter = text_width(self.letter, _SMALL, "italic") + mm(0.4) if self.letter else 0.0
        return own + self.before + letter

    @property
    def before(self) -> float:
        """Room for what stands before the sign."""
        return mm(1.5) * self.slides + mm(1.6) * self.joins + mm(0.9) * self.corner

    @property
    def style(self) -> str:
        """What the score or the player set stands out."""
        return "bold" if self.fixed else "regular"

    @property
    def letter(self) -> str:
        return self.crosses[:1]


Stacks = Mapping[tuple[Where, Fraction], tuple[Sign, ...]]  # from the lowest sign upwards


@dataclass(frozen=True, slots=True)
class Figures:
    """All signs of a hymn by where and when they stand."""

    stacks: Stacks = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.stacks)

    def signs(self) -> Iterator[Sign]:
        for stack in self.stacks.values():
            yield from stack


NO_FIGURES = Figures()


def figures_of(
    notes: Sequence[PlayedNote],
    hymn: Hymn,
    players: Sequence[Plays] | None = None,
    *,
    corners: bool = True,
) -> Figures:
    """The signs of these notes over a hymn's usual staves, or over one staff for each of
    `players` from the top.

    A corner shows a voice of one staff that the hand of the other takes; there are none
    without `corners`, where that is the rule.
    """
    upper = {voice.name for voice in hymn.voices[: (len(hymn.voices) + 1) // 2]}
    usual: Sequence[Plays] = ("right",) if len(hymn.voices) > 1 else ("right", "left", "pedal")
    first = players[:1] if players else usual
    stacks: dict[tuple[Where, Fraction], list[Sign]] = defaultdict(list)
    for note in sorted(notes, key=lambda note: (note.plays != "pedal", note.midi_pitch)):
        where: Where = "top" if note.plays in first else "between"
        if note.plays == "pedal":
            for place, sign in _feet(note, where):
                stacks[place, note.written_q].append(sign)
        else:
            corner = (note.voice in upper) != (note.plays == "right")
            sign = _figure(note, corner and corners and players is None and len(hymn.voices) > 1)
            stacks[where, note.written_q].append(sign)
    return Figures({key: tuple(stack) for key, stack in stacks.items()})


def _figure(note: PlayedNote, corner: bool) -> Sign:
    text = "–".join(map(str, note.fingers)) or "×"
    return Sign(text, corner=corner, slides=note.means == "glide", fixed=note.fixed)


def _feet(note: PlayedNote, over: Where) -> Iterator[tuple[Where, Sign]]:
    if not note.treads:
        yield "below", Sign("×")
    for number, tread in enumerate(note.treads):
        where: Where = over if tread.foot == "right" else "below"
        yield (
            where,
            Sign(
                foot=tread.part,
                slides=not number and note.means == "slide",
                joins=number > 0,
                crosses="" if number else note.crosses,
                fixed=note.fixed,
            ),
        )


# Drawing -----------------------------------------------------------------------------


def draw_figures(system: System, figures: Figures, pen: Pen) -> None:
    """The signs of one system, each stack clear of what is drawn at its place."""
    for where in ("top", "between", "below"):
        _draw_all(system, figures, pen, where)


def lacking(system: System, figures: Figures) -> float:
    """How far the lowest staff must go down for the figures over it to clear all above them."""
    pen = Pen()
    _draw_all(system, figures, pen, "between")
    above = [b for b in system.boxes if not system.is_lower(b) and b.kind != "barLine"]
    lack = 0.0
    for sign in pen.boxes:
        for box in above:
            if box.x1 > sign.x0 - _BESIDE and box.x0 < sign.x1 + _BESIDE:
                lack = max(lack, box.y1 + _CLEAR - sign.y0)
    return lack


def _draw_all(system: System, figures: Figures, pen: Pen, where: Where) -> None:
    drawn = len(pen.boxes)
    here = {
        at_q: stack
        for (place, at_q), stack in figures.stacks.items()
        if place == where and system.start_q <= at_q < system.end_q
    }
    for at_q, stack in sorted(here.items()):
        x = system.x_at(at_q)
        if where == "below":
            _downwards(system, stack, x, pen)
        else:
            _upwards(system, stack, x, pen, drawn, between=where == "between")


def _extent(stack: Sequence[Sign], x: float) -> tuple[float, float]:
    left = max(_core(sign) / 2 + sign.before for sign in stack)
    right = max(sign.width - sign.before - _core(sign) / 2 for sign in stack)
    return x - left, x + right


def _core(sign: Sign) -> float:
    """The width that is centred on the note."""
    return _FOOT_WIDE if sign.foot else text_width(sign.text, _SIZE, sign.style)


def _upwards(
    system: System, stack: Sequence[Sign], x: float, pen: Pen, first: int, *, between: bool
) -> None:
    x0, x1 = _extent(stack, x)
    top = _top_of_lower if between else _top
    y = top(system, x0 - mm(0.3), x1 + mm(0.3), pen.boxes[first:]) - _CLEAR
    for sign in stack:
        _draw(sign, x, y, pen)
        y -= _LINE


def _top(system: System, x0: float, x1: float, extra: Sequence[Box]) -> float:
    return system.top_between(x0, x1, extra)


def _top_of_lower(system: System, x0: float, x1: float, extra: Sequence[Box]) -> float:
    """The highest point of the lower staff and its notes between two x."""
    own = [box for box in system.boxes if system.is_lower(box) and box.kind != "barLine"]
    tops = [box.y0 for box in (*own, *extra) if box.x1 > x0 and box.x0 < x1]
    return min([system.staves[-1][0], *tops])


def _downwards(system: System, stack: Sequence[Sign], x: float, pen: Pen) -> None:
    x0, x1 = _extent(stack, x)
    y = system.bottom_between(x0 - mm(0.3), x1 + mm(0.3), pen.boxes) + _CLEAR
    for sign in reversed(stack):
        y += _FOOT_HIGH if sign.foot else 0.7 * _SIZE
        _draw(sign, x, y, pen)
        y += mm(0.3)


def _draw(sign: Sign, x: float, y: float, pen: Pen) -> None:
    """A sign centred on `x` with its foot on `y`."""
    left = x - _core(sign) / 2
    if sign.foot:
        _foot(sign, x, y, pen)
    else:
        pen.text(SetText(left, y, sign.text, _SIZE, sign.style, "finger"))
    if sign.slides:
        pen.line(left - mm(1.5), y, left - mm(0.4), y - mm(1.5), mm(0.3), "finger", color=INK)
    if sign.joins:
        middle = y - _FOOT_HIGH / 2
        pen.line(left - mm(1.5), middle, left - mm(0.4), middle, mm(0.3), "finger", color=INK)
    if sign.corner:
        _corner(left - mm(0.7), y, pen)
    if sign.letter:
        right = x + _core(sign) / 2 + mm(0.4)
        pen.text(SetText(right, y, sign.letter, _SMALL, "italic", "finger"))


def _corner(x: float, y: float, pen: Pen) -> None:
    """A corner before the figure of a voice that the other hand takes."""
    top = y - 0.68 * _SIZE
    pen.line(x, y, x, top, mm(0.28), "finger", color=INK)
    pen.line(x, top, x + mm(0.7), top, mm(0.28), "finger", color=INK)


def _foot(sign: Sign, x: float, y: float, pen: Pen) -> None:
    """∧ for a toe, ∪ for a heel."""
    half, top = _FOOT_WIDE / 2 - _STROKE / 2, y - _FOOT_HIGH + _STROKE / 2
    if sign.foot == "toe":
        d = f"M{x - half:.1f} {y:.1f} L{x:.1f} {top:.1f} L{x + half:.1f} {y:.1f}"
    else:
        low = y + _FOOT_HIGH * 0.3
        d = (
            f"M{x - half:.1f} {top:.1f} C{x - half:.1f} {low:.1f} "
            f"{x + half:.1f} {low:.1f} {x + half:.1f} {top:.1f}"
        )
    extent = (x - _FOOT_WIDE / 2, y - _FOOT_HIGH, x + _FOOT_WIDE / 2, y + _STROKE / 2)
    pen.path(d, extent, "foot", fill="none", stroke=_STROKE * (1.5 if sign.fixed else 1), ink=True)
