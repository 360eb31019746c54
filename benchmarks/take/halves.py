"""The two halves of the hymns: one to tune on, one to report on."""

from __future__ import annotations

import json
import zlib
from pathlib import Path

HALVES = ("develop", "report")


def half(folder: Path, part: str) -> list[Path]:
    """The hymns of one half; one tune is in one half only. Without labels, all of them."""
    paths = sorted(folder.glob("*.abc"))
    labelled = folder / "labels.json"
    if not labelled.exists():
        return paths
    labels = json.loads(labelled.read_text("utf-8"))
    wanted = part == HALVES[1]
    tunes = [str(labels.get(path.stem, {}).get("tune") or path.stem) for path in paths]
    return [
        path
        for path, tune in zip(paths, tunes, strict=True)
        if (zlib.crc32(tune.encode()) % 2 == 1) is wanted
    ]
