"""Pages set by typst: the heights of texts before, the finished pages after."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import Any, Literal

from suspirium.render.engrave.face import font_folder

Item = Mapping[str, Any]
"""What is set: its `kind`, its `width` in millimetres and what its kind needs: see page.typ."""


def measure_mm(items: Sequence[Item]) -> list[float]:
    """The height of every item in millimetres, by the very setter that prints it."""
    import typst

    setter: Any = typst  # its stubs leave the input's type open
    found = setter.query(
        _template("page.typ"),
        "<heights>",
        field="value",
        one=True,
        font_paths=[str(font_folder())],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps({"items": list(items)})},
    )
    return [float(height) for height in json.loads(found)]


def set_pages(
    title: str, pages: Sequence[Sequence[Item]], form: Literal["pdf", "svg"]
) -> list[bytes]:
    """The pages as one PDF, or each as SVG; items carry `x` and `y` in millimetres."""
    return set_document("page.typ", {"title": title, "pages": [list(p) for p in pages]}, form)


def set_document(
    template: str, data: Mapping[str, Any], form: Literal["pdf", "svg"] = "pdf"
) -> list[bytes]:
    """A document by one of this room's templates, from plain values: a PDF, or SVG pages."""
    import typst

    compiled: Any = typst  # its stubs leave the input's type open
    done = compiled.compile(
        _template(template),
        font_paths=[str(font_folder())],
        ignore_system_fonts=True,
        format=form,
        sys_inputs={"data": json.dumps(data)},
    )
    return list(done) if isinstance(done, list) else [done]


@cache
def _template(name: str) -> bytes:
    return (resources.files("suspirium.render") / name).read_bytes()
