"""The book face inside a page that must need nothing beside it: only the signs it shows."""

from __future__ import annotations

import io
from base64 import b64encode

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

from suspirium.render.engrave.face import FAMILY, face_file

_STYLES = {
    "regular": "normal 400",
    "bold": "normal 700",
    "italic": "italic 400",
}


def face_css(text: str) -> str:
    """Style rules that bring the three styles of the face with every sign of `text`."""
    return "\n".join(_rule(style, text) for style in _STYLES)


def _rule(style: str, text: str) -> str:
    slant, weight = _STYLES[style].split()
    data = b64encode(_cut(style, text)).decode()
    return (
        f'@font-face {{ font-family: "{FAMILY}"; font-style: {slant}; font-weight: {weight}; '
        f"src: url(data:font/ttf;base64,{data}); }}"
    )


def _cut(style: str, text: str) -> bytes:
    options = Options()
    options.layout_features = ["kern", "liga"]
    options.notdef_outline = True
    font = TTFont(face_file(style))
    cutter = Subsetter(options)
    cutter.populate(text=text)
    cutter.subset(font)
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()
