"""Hands and feet of the four-part chorales that music21 carries: is any state impossible?

Usage: python benchmarks/technique/chorales.py [MOST]

Every chorale is written as MusicXML by music21, read, planned and fingered; the independent
checker of the tests (tests/reference/playable.py) looks at every state. Prints what it finds,
the seconds of all and of the fingering alone. Runs on two processes.
"""

from __future__ import annotations

import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

Found = tuple[str, int, list[str], float]


def chorales() -> list[str]:
    """The corpus's pieces in four parts."""
    from music21 import corpus

    return [str(path) for path in corpus.getComposer("bach") if path.suffix in (".mxl", ".xml")]


def examine(path: str) -> Found | None:
    """Name, notes, what is impossible, and the seconds of the fingering; None if not four parts."""
    from tests.reference.playable import impossible

    from suspirium.errors import SuspiriumError
    from suspirium.plan.build import plan_hymn
    from suspirium.score.reading import read
    from suspirium.technique import find_technique

    try:
        hymn = read(Path(path).read_bytes(), Path(path).name)
    except SuspiriumError:
        return None
    if len(hymn.voices) != 4:
        return None
    plan = plan_hymn(hymn)
    start = time.perf_counter()
    technique = find_technique(plan)
    seconds = time.perf_counter() - start
    return Path(path).name, len(technique.notes), impossible(technique.notes), seconds


def main() -> None:
    most = int(sys.argv[1]) if len(sys.argv) > 1 else None
    paths = chorales()[:most]
    start = time.perf_counter()
    with ProcessPoolExecutor(2) as pool:
        found = [one for one in pool.map(examine, paths, chunksize=8) if one is not None]
    elapsed = time.perf_counter() - start
    wrong = [(name, faults) for name, _, faults, _ in found if faults]
    for name, faults in wrong:
        print(f"{name}: {faults[0]}")
    seconds = sorted(one[3] for one in found)
    print(f"{len(found)} chorales, {sum(one[1] for one in found)} keys, {len(wrong)} impossible")
    median, longest = seconds[len(seconds) // 2] * 1000, seconds[-1] * 1000
    print(f"{elapsed:.1f} s on two processes (limit 90 s)")
    print(f"fingering alone: median {median:.0f} ms, longest {longest:.0f} ms")


if __name__ == "__main__":
    main()
