"""A single note as one path, for the tempo line and the gap: drawn here, not set in type."""

from __future__ import annotations

from fractions import Fraction
from math import cos, pi, sin

from suspirium.render.engrave.shapes import UNITS_PER_MM

_LONG, _SHORT, _TILT = 1.18, 0.82, 0.42  # half axes in mm, tilt in radians
_STEM_MM, _STEM_WIDTH_MM = 6.4, 0.22


def _ellipse(cx: float, cy: float, a: float, b: float, *, reverse: bool = False) -> str:
    """A tilted ellipse as a closed polygon, fine enough for print."""
    steps = range(48, -1, -1) if reverse else range(49)
    points = []
    for step in steps:
        t = 2 * pi * step / 48
        x = a * cos(t) * cos(_TILT) - b * sin(t) * sin(_TILT)
        y = a * cos(t) * sin(_TILT) + b * sin(t) * cos(_TILT)
        points.append(f"{cx + x:.1f} {cy - y:.1f}")
    return "M" + " L".join(points) + " Z"


def note_path(
    length_q: Fraction, cx: float, cy: float, scale: float = 1.0
) -> tuple[str, tuple[float, float, float, float]]:
    """A note of `length_q` with its head at (cx, cy), in drawing units: path and extent."""
    unit = UNITS_PER_MM * scale
    a, b = _LONG * unit, _SHORT * unit
    base = next(
        v for v in (8, 4, 2, 1, Fraction(1, 2), Fraction(1, 4), Fraction(0)) if v <= length_q
    )
    parts = [_ellipse(cx, cy, a, b)]
    if base >= 2:
        parts.append(_ellipse(cx, cy, a * 0.86, b * 0.48, reverse=True))
    stem_x, top = cx + a * 0.93, cy - _STEM_MM * unit
    if base < 4:
        half = _STEM_WIDTH_MM * unit / 2
        parts.append(
            f"M{stem_x - half:.1f} {cy - 0.3 * b:.1f} L{stem_x + half:.1f} {cy - 0.3 * b:.1f} "
            f"L{stem_x + half:.1f} {top:.1f} L{stem_x - half:.1f} {top:.1f} Z"
        )
    if base < 1:
        flag = ((0.2, 1.3, 1.6, 1.8, 1.0, 4.0), (0.1, -1.5, -0.6, -2.2, -1.0, -2.5))
        curves = " ".join(
            "c" + " ".join(f"{v * (b if place % 2 else a):.1f}" for place, v in enumerate(curve))
            for curve in flag
        )
        parts.append(f"M{stem_x:.1f} {top:.1f} {curves} Z")
    right = cx + a * 1.05
    if base and length_q == base * Fraction(3, 2):
        dot = 0.3 * unit
        right = cx + a + 1.1 * unit
        parts.append(_ellipse(right - dot, cy - 0.2 * b, dot, dot))
    top_y = top if base < 4 else cy - b * 1.1
    return " ".join(parts), (cx - a, top_y, right, cy + b * 1.1)


def note_svg(length_q: Fraction, fill: str) -> str:
    """A note of `length_q` as a picture of its own, for texts."""
    path, (x0, y0, x1, y1) = note_path(length_q, 0.0, 0.0)
    box = f"{x0 - 10:.0f} {y0 - 10:.0f} {x1 - x0 + 20:.0f} {y1 - y0 + 20:.0f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}">'
        f'<path d="{path}" fill="{fill}"/></svg>'
    )
