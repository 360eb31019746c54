"""Plain text for one screen: a head on the left, its text wrapped beside it."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

WIDTH = 78
_INDENT = 11


def item(head: str, text: str) -> Iterator[str]:
    """The lines of one entry; a head too long for its column stands above."""
    label = f"{head:<{_INDENT}}"
    lines = wrap(text, WIDTH - _INDENT) or [""]
    if len(head) >= _INDENT:
        yield from wrap(head, WIDTH)
        label = " " * _INDENT
    yield label + lines[0]
    for line in lines[1:]:
        yield " " * _INDENT + line
