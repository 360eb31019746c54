"""Where the results of each score go."""

from __future__ import annotations

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
