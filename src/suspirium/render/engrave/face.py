"""The book face: its files, its widths, and the engraver taught to space words for it.

The engraver measures words with tables for a face of its own; it is handed a copy of its
resources in which those tables are made from ours, so that it reserves the room that the
words really take.
"""

from __future__ import annotations

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path
from xml.sax.saxutils import quoteattr

from fontTools.ttLib import TTFont

FAMILY = "Source Serif Pro"
_FILES = {
    "regular": "SourceSerifPro-Regular.ttf",
    "bold": "SourceSerifPro-Bold.ttf",
    "italic": "SourceSerifPro-It.ttf",
}
_RANGES = ((0x20, 0x250), (0x2010, 0x2030))
_TABLES = {
    "Times": "regular",
    "Times-bold": "bold",
    "Times-italic": "italic",
    "Times-bold-italic": "bold",
}


@cache
def font_folder() -> Path:
    """The folder of the face's font files."""
    import font_source_serif_pro

    return Path(font_source_serif_pro.__file__).parent / "files"


def face_file(style: str) -> Path:
    """The font file of a style: regular, bold or italic."""
    return font_folder() / _FILES[style]


@cache
def _font(style: str) -> TTFont:
    return TTFont(face_file(style), lazy=True)


@cache
def _advances(style: str) -> dict[int, float]:
    font = _font(style)
    units, widths = font["head"].unitsPerEm, font["hmtx"]
    return {code: widths[name][0] / units for code, name in font.getBestCmap().items()}


def text_width(text: str, size: float, style: str = "regular") -> float:
    """Width of `text` set at `size`, in the same unit; an unknown sign counts half an em."""
    advances = _advances(style)
    return size * sum(advances.get(ord(sign), 0.5) for sign in text)


def metrics_xml(style: str) -> str:
    """The engraver's table of one style: bounding box and advance of every sign."""
    font = _font(style)
    shapes, widths = font["glyf"], font["hmtx"]
    rows = []
    for code, name in sorted(font.getBestCmap().items()):
        if not any(low <= code < high for low, high in _RANGES):
            continue
        shape = shapes[name]
        x, y = getattr(shape, "xMin", 0), getattr(shape, "yMin", 0)
        w, h = getattr(shape, "xMax", 0) - x, getattr(shape, "yMax", 0) - y
        rows.append(
            f'<g c="{code:02X}" x="{x}" y="{y}" w="{w}" h="{h}" h-a-x="{widths[name][0]}"/>'
        )
    units = font["head"].unitsPerEm
    head = f'<bounding-boxes font-family={quoteattr("Times")} units-per-em="{units}">'
    return "\n".join(['<?xml version="1.0" encoding="UTF-8"?>', head, *rows, "</bounding-boxes>"])


@cache
def engraver_resources() -> Path:
    """A folder with the engraver's own resources and our tables of words."""
    import verovio

    source = Path(verovio.__file__).parent / "data"
    folder = Path(tempfile.mkdtemp(prefix="suspirium-face-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    for entry in source.iterdir():
        if entry.name != "text":
            (folder / entry.name).symlink_to(entry)
    (folder / "text").mkdir()
    for table, style in _TABLES.items():
        (folder / "text" / f"{table}.xml").write_text(metrics_xml(style), encoding="utf-8")
    return folder
