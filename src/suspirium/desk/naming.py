"""Where the results of each score go."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from pathlib import Path


def folders(scores: Sequence[Path], out: Path) -> tuple[Path, ...]:
    """One folder below `out` for each score, named after it; equal names are numbered."""
    taken: set[str] = set()
    found = []
    for score in scores:
        stem = score.name.split(".")[0] or "hymn"
        name, number = stem, 2
        while name in taken:
            name, number = f"{stem}-{number}", number + 1
        taken.add(name)
        found.append(out / name)
    return tuple(found)


def folder_name(title: str) -> str:
    """A title as the name of a folder on any system: letters and digits, words by dashes."""
    plain = unicodedata.normalize("NFKD", title.casefold())
    kept = "".join(sign if sign.isascii() and sign.isalnum() else " " for sign in plain)
    return "-".join(kept.split())[:60] or "hymn"
