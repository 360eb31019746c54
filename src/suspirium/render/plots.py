"""Plots in the book face: figures of given size in millimetres, out as SVG."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import TYPE_CHECKING, Any

from suspirium.render.engrave.face import FAMILY, font_folder

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK = "#15171A"
ACCENT = "#9B1C31"
SHADE = "#ECECEC"
_MM_IN_INCH = 25.4
_STYLE: dict[Any, Any] = {
    "font.family": FAMILY,
    "font.size": 10.0,
    "text.color": INK,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "axes.linewidth": 0.7,
    "svg.fonttype": "path",  # letters as shapes: the same on every machine
    "svg.hashsalt": "suspirium",  # the same figure twice is the same file
}


@contextmanager
def book_style() -> Iterator[None]:
    """Within it, figures are drawn in the book face."""
    import matplotlib

    _add_fonts()
    with matplotlib.rc_context(_STYLE):
        yield


@cache
def _add_fonts() -> None:
    from matplotlib import font_manager

    for style in ("Regular", "Bold", "It"):
        font_manager.fontManager.addfont(font_folder() / f"SourceSerifPro-{style}.ttf")


def new_figure(width_mm: float, height_mm: float) -> Figure:
    """An empty figure; call within `book_style`."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width_mm / _MM_IN_INCH, height_mm / _MM_IN_INCH))


def svg(figure: Figure) -> bytes:
    """The figure as SVG at its own size, without a date."""
    buffer = io.BytesIO()
    figure.savefig(buffer, format="svg", transparent=True, metadata={"Date": None})
    return buffer.getvalue()


def bare(axes: Axes, *sides: str) -> None:
    """Leaves only the given sides of the frame."""
    for side, spine in axes.spines.items():
        spine.set_visible(side in sides)


def margins(
    figure: Figure, *, left_mm: float, right_mm: float, top_mm: float, bottom_mm: float
) -> None:
    """White around the axes in millimetres, whatever the figure's size."""
    width_mm, height_mm = (side * _MM_IN_INCH for side in figure.get_size_inches())
    figure.subplots_adjust(
        left=left_mm / width_mm,
        right=1 - right_mm / width_mm,
        top=1 - top_mm / height_mm,
        bottom=bottom_mm / height_mm,
    )
