"""The plan drawn over one system: touch signs, count rails, pulse rule.

Everything is placed from what is already drawn there: each sign stands clear of the
highest (or lowest) thing between its ends, and becomes part of what later signs clear.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from suspirium.plan.model import BreathKind, LeadingPlan, Phrase
from suspirium.plan.pulse import counted_beat_q
from suspirium.render.engrave.face import text_width
from suspirium.render.engrave.ink import Pen, mm
from suspirium.render.engrave.lyrics import SetText
from suspirium.render.engrave.systems import System
from suspirium.render.words import ranges
from suspirium.score.sounding import bar_onset_q

_CLEAR = mm(1.0)
_STROKE = mm(2.05)
_RING = mm(1.15)
_FIGURE = mm(3.5)
_SMALL = mm(2.9)
_LABEL = mm(4.2)
_STRETCH = "stretch"
_AGAIN, _LAST = "repeat", "end"
_LEVEL = mm(3.0)
_COMMA = mm(2.2)
_LEAST_DOTS = mm(1.2)
RailKind = Literal["full", "part", "carry", "held"]
_ORDER: tuple[BreathKind, ...] = ("full", "part", "carry")


def draw_marks(system: System, plan: LeadingPlan, pen: Pen) -> None:
    """All signs of the plan that belong to this system."""
    _touches(system, plan, pen)
    for entries in _line_ends(system, plan):
        _rails(system, plan, entries, pen)
    _annotations(system, plan, pen)
    _pulse_rule(system, plan, pen)


# Text over the music ---------------------------------------------------------------


def _annotations(system: System, plan: LeadingPlan, pen: Pen) -> None:
    """What the source prints over the music ("Refrain"), in ink."""
    for annotation in plan.hymn.annotations:
        if not system.start_q <= annotation.onset_q < system.end_q:
            continue
        width = text_width(annotation.text, _LABEL, "italic")
        x = min(system.x_at(annotation.onset_q) - mm(1.5), system.x1 - width)
        y = system.top_between(x, x + width, pen.boxes) - _CLEAR - 0.22 * _LABEL
        pen.text(SetText(x, y, annotation.text, _LABEL, "italic", "label"))


# Touch ------------------------------------------------------------------------------


def _touches(system: System, plan: LeadingPlan, pen: Pen) -> None:
    detached = {touch.onset_q for touch in plan.touches if touch.kind == "pickup"}
    for touch in plan.touches:
        if not system.start_q <= touch.onset_q < system.end_q:
            continue
        if touch.kind == "pickup":
            _above(system, touch.onset_q, pen, dash=True)
        elif touch.kind == "repeat" and touch.onset_q not in detached:
            _above(system, touch.onset_q, pen, dash=False)
        elif touch.kind == "bass_repeat":
            _below(system, touch.onset_q, pen)


def _above(system: System, onset_q: Fraction, pen: Pen, *, dash: bool) -> None:
    x = system.x_at(onset_q)
    half = mm(0.85) if dash else mm(0.35)
    y = system.top_between(x - mm(1), x + mm(1), pen.boxes) - _CLEAR
    if dash:
        pen.line(x - half, y, x + half, y, mm(0.3), "touch")
        y -= mm(0.85)
    pen.dot(x, y, mm(0.32), "touch")


def _below(system: System, onset_q: Fraction, pen: Pen) -> None:
    x = system.x_at(onset_q)
    y = system.bottom_between(x - mm(1), x + mm(1), pen.boxes) + _CLEAR
    pen.dot(x, y, mm(0.32), "touch")


# Count rails ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Entry:
    """One rail to draw: how `phrase` ends, and in front of it when that holds."""

    phrase: Phrase
    kind: RailKind
    label: str = ""
    style: str = "bold"

    @property
    def size(self) -> float:
        """Figures are read at a glance; words hang below the line and need more room."""
        return _FIGURE if self.style == "bold" else _SMALL

    @property
    def label_width(self) -> float:
        return text_width(self.label, self.size, self.style) + mm(1.2) if self.label else 0.0


def _line_ends(system: System, plan: LeadingPlan) -> Iterator[list[_Entry]]:
    """The last notes of the lines that end in this system, rails from the lowest upwards."""

    def here(phrase: Phrase) -> bool:
        return system.start_q <= phrase.last_onset_q < system.end_q

    for phrase in filter(here, plan.phrases[:-1]):
        yield _groups(phrase, _singing(plan, phrase))
    last, again = plan.phrases[-1], plan.before_repeat
    repeats: list[_Entry] = []
    if again is not None and here(again):
        repeats = [
            replace(entry, label=f"{_AGAIN} {entry.label}".strip(), style="italic")
            for entry in _groups(again, _singing(plan, again))
        ]
    if again is not None and again.last_onset_q == last.last_onset_q:
        if repeats:
            yield [*repeats, _Entry(last, "held", _LAST, "italic")]
        return
    if repeats:
        yield repeats
    if here(last):
        yield [_Entry(last, "held")]


def _singing(plan: LeadingPlan, phrase: Phrase) -> tuple[int, ...]:
    """The stanzas that have words of their own in this line; all, where they share them."""
    own = tuple(
        stanza.number
        for stanza in plan.hymn.stanzas
        if any(phrase.first_onset_q <= s.onset_q <= phrase.last_onset_q for s in stanza.syllables)
    )
    return own if len(own) > 1 else plan.stanza_numbers


def _groups(phrase: Phrase, stanzas: Sequence[int]) -> list[_Entry]:
    """The kinds of breath here with their stanzas, the lift lowest; figures where they differ.

    Where nothing is lifted (a rest is written), the other voices have nothing to go through.
    """
    kinds = {n: phrase.breath(n) for n in stanzas}
    if not phrase.lift_q:
        kinds = {n: "full" if kind == "part" else kind for n, kind in kinds.items()}
    by_kind = {kind: [n for n in stanzas if kinds[n] == kind] for kind in _ORDER}
    found = [(kind, members) for kind, members in by_kind.items() if members]
    if len(found) == 1:
        return [_Entry(phrase, found[0][0])]
    return [_Entry(phrase, kind, ranges(members, " ")) for kind, members in found]


def _rails(system: System, plan: LeadingPlan, entries: Sequence[_Entry], pen: Pen) -> None:
    rails = [_measured(system, entry.phrase, entry.kind) for entry in entries]
    x0, word = rails[0].x0, _stretch_place(system, rails)
    left = x0 - max(entry.label_width for entry in entries) - mm(0.8)
    right = max([*(rail.right for rail in rails), word.right]) + mm(0.6)
    y = system.top_between(left, right, pen.boxes) - _CLEAR - _STROKE / 2
    for row, (rail, entry) in enumerate(zip(rails, entries, strict=True)):
        rail_y = y - row * _LEVEL
        beside = word.right if not word.level else 0.0
        _draw_rail(system, plan, entry.phrase, rail, rail_y, pen, beside)
        if entry.label:
            x = x0 - entry.label_width + mm(0.2)
            baseline = rail_y + 0.33 * entry.size
            pen.text(SetText(x, baseline, entry.label, entry.size, entry.style, "figures", True))
    if word.right:
        baseline = y - word.level * _LEVEL + 0.3 * _SMALL
        pen.text(SetText(word.x, baseline, _STRETCH, _SMALL, "italic", "rail", accent=True))


@dataclass(frozen=True, slots=True)
class _Rail:
    """One rail measured: from `x0`; `ring` is the lift's place, `right` its last ink."""

    kind: RailKind
    x0: float
    ring: float | None
    right: float
    stretched: bool = False


def _measured(system: System, phrase: Phrase, kind: RailKind) -> _Rail:
    x0, end = system.x_at(phrase.last_onset_q), _end_x(system, phrase)
    if kind in ("held", "carry") or not phrase.lift_q:
        return _Rail(kind, x0, None, max(end, x0 + mm(4)))
    ring = min(system.x_at(phrase.last_onset_q + phrase.hold_q - phrase.added_q), end - _RING)
    ring = max(min(ring, system.x1 - _RING - _COMMA), x0 + 1.6 * _RING)
    right = ring + _RING + _COMMA
    if kind == "part":
        right = min(max(right + mm(2.2), end), system.x1)
    return _Rail(kind, x0, ring, right, bool(phrase.stretch_q))


@dataclass(frozen=True, slots=True)
class _StretchPlace:
    """Where "stretch" begins and ends, and on which level above the lowest rail; 0 if nowhere."""

    x: float = 0.0
    right: float = 0.0
    level: float = 0.0


def _stretch_place(system: System, rails: Sequence[_Rail]) -> _StretchPlace:
    """The word once for all lifts here: after a lone rail, between two, above where room lacks."""
    lifts = [rail for rail in rails if rail.stretched and rail.ring is not None]
    if not lifts:
        return _StretchPlace()
    width = text_width(_STRETCH, _SMALL, "italic")
    x = max(rail.ring or 0.0 for rail in lifts) + _RING + _COMMA + mm(0.3)
    dots = _LEAST_DOTS if len(lifts) == 1 and lifts[0].kind == "part" else 0.0
    if x + width + dots > system.x1 + mm(0.3):  # room enough in the margin
        return _StretchPlace(system.x1 - width, system.x1, float(len(rails)))
    return _StretchPlace(x, x + width, (len(lifts) - 1) / 2)


def _end_x(system: System, phrase: Phrase) -> float:
    """Where the phrase's last note ends on paper: short of the next note or the edge."""
    end_q = min(phrase.last_onset_q + phrase.written_q, system.end_q)
    x = system.x_at(end_q)
    return x if end_q == system.end_q else x - mm(1.6)


def _beats(plan: LeadingPlan, phrase: Phrase, until_q: Fraction) -> list[Fraction]:
    """Places of the counted beats that sound, the note's own onset first."""
    beat_q = counted_beat_q(plan.hymn)
    end_q = phrase.last_onset_q + until_q
    bar_q = bar_onset_q(plan.hymn, phrase.last_onset_q)
    places = [phrase.last_onset_q]
    next_q = bar_q + ((phrase.last_onset_q - bar_q) // beat_q + 1) * beat_q
    while next_q < end_q:
        places.append(next_q)
        next_q += beat_q
    return places


def _draw_rail(
    system: System,
    plan: LeadingPlan,
    phrase: Phrase,
    rail: _Rail,
    y: float,
    pen: Pen,
    beside: float,
) -> None:
    """The beats, the lift and what goes on; a word beside the rail ends at `beside`."""
    hold_q = phrase.written_q if rail.ring is None else phrase.hold_q - phrase.added_q
    for place in _beats(plan, phrase, hold_q):
        x = system.x_at(place)
        pen.line(x, y - _STROKE / 2, x, y + _STROKE / 2, mm(0.5), "rail")
    if rail.ring is not None:
        _draw_lift(rail, rail.ring, y, pen, beside)
        return
    pen.line(rail.x0, y, rail.right, y, mm(0.25), "rail")
    if rail.kind == "carry":
        _arrow_head(rail.right, y, pen)


def _draw_lift(rail: _Rail, ring: float, y: float, pen: Pen, beside: float) -> None:
    pen.line(rail.x0, y, ring - _RING, y, mm(0.25), "rail")
    pen.ring(ring, y, _RING, mm(0.4), "rail")
    after = ring + _RING + mm(0.7)
    _comma(after, y, pen)
    after = max(after + mm(1.8), beside + mm(0.5) if beside else 0.0)
    right = max(rail.right, beside + _LEAST_DOTS if beside else 0.0)
    if rail.kind == "part" and right - after > mm(0.6):  # the other voices go on
        pen.line(after, y, right, y, mm(0.25), "rail", dash="60 60")


def _arrow_head(x: float, y: float, pen: Pen) -> None:
    back, half = x - mm(1.5), mm(0.8)
    pen.path(
        f"M{back:.1f} {y - half:.1f} L{x:.1f} {y:.1f} L{back:.1f} {y + half:.1f}",
        (back, y - half, x, y + half),
        "rail",
        fill="none",
        stroke=mm(0.3),
    )


def _comma(x: float, y: float, pen: Pen) -> None:
    """A breath comma: a dot with a tail, its curves in millimetres from the dot's left end."""
    top = y - mm(1.0)
    curves = (
        (0.1, -0.75, 1.25, -0.75, 1.3, 0.25),
        (0.05, 0.95, -0.5, 1.6, -1.15, 2.0),
        (0.3, -0.35, 0.5, -0.95, 0.4, -1.35),
        (-0.35, 0.1, -0.6, -0.35, -0.55, -0.9),
    )
    shape = " ".join("c" + " ".join(f"{mm(v):.1f}" for v in curve) for curve in curves)
    extent = (x, top - mm(0.6), x + mm(1.4), top + mm(2.3))
    pen.path(f"M{x:.1f} {top:.1f} {shape} z", extent, "rail")


# Pulse rule -------------------------------------------------------------------------


def _pulse_rule(system: System, plan: LeadingPlan, pen: Pen) -> None:
    unit_q = plan.pulse.value.unit_q
    ticks = _ticks(system, plan, unit_q)
    x_first = system.x_at(system.start_q)
    x_last = max((system.x_at(q) for q, _ in ticks), default=x_first)
    y = min(
        system.staves[0][0] - mm(5.5),
        system.top_between(x_first - mm(2), system.x1, pen.boxes) - mm(2.2),
    )
    pen.line(x_first, y, x_last, y, mm(0.21), "pulse")
    for place, strong in ticks:
        x = system.x_at(place)
        half, width = (mm(1.2), mm(0.5)) if strong else (mm(0.76), mm(0.38))
        pen.line(x, y - half, x, y + half, width, "pulse")


def _ticks(system: System, plan: LeadingPlan, unit_q: Fraction) -> list[tuple[Fraction, bool]]:
    """Pulses in this system, the first of each bar marked; a pickup has none."""
    hymn = plan.hymn
    places: list[tuple[Fraction, bool]] = []
    for measure in hymn.measures:
        if measure.continues or measure.number == 0:
            continue
        end_q = _bar_end(plan, measure.onset_q)
        at_q = measure.onset_q
        while at_q < end_q:
            if system.start_q <= at_q < system.end_q:
                places.append((at_q, at_q == measure.onset_q))
            at_q += unit_q
    return places


def _bar_end(plan: LeadingPlan, onset_q: Fraction) -> Fraction:
    """The end of the whole bar, all its pieces taken together."""
    end_q = onset_q
    for measure in plan.hymn.measures:
        if measure.onset_q == onset_q or (
            measure.continues and measure.onset_q == end_q and end_q > onset_q
        ):
            end_q = measure.end_q
    return end_q
