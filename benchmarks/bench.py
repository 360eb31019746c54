"""Speed and size of the main job, as medians and as ratios to a reference in the same run.

Usage: python benchmarks/bench.py [FOLDER OF SCORES]

The reference is a fixed loop of plain Python, so that figures of different machines can be
compared. Without a folder the real hymns beside the project are used, else the demo parish.
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
HYMNS = ROOT.parent / "shared" / "hymns"
PARISH = ROOT / "examples" / "parish"


def timed(action: Callable[[], object], repeats: int = 1) -> float:
    """Median seconds of `action`."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def reference() -> int:
    """The loop that everything is measured against."""
    total = 0
    for number in range(1_000_000):
        total += number * number
    return total


def cold(*arguments: str) -> tuple[float, int]:
    """Seconds and peak memory in MB of a fresh process, the median of three."""
    runs = []
    for _ in range(3):
        start = time.perf_counter()
        process = subprocess.Popen(
            [sys.executable, "-m", "suspirium", *arguments],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        usage = _wait(process)
        runs.append((time.perf_counter() - start, usage))
    return statistics.median(run[0] for run in runs), max(run[1] for run in runs)


def _wait(process: subprocess.Popen[bytes]) -> int:
    import os

    _, _, usage = os.wait4(process.pid, 0)
    return usage.ru_maxrss // 1024


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else (HYMNS if HYMNS.is_dir() else PARISH)
    scores = sorted(
        p for p in folder.iterdir() if p.suffix in (".abc", ".musicxml", ".mxl", ".mei")
    )
    base_s = timed(reference, 5)
    print(f"reference loop: {base_s * 1000:.1f} ms; {len(scores)} scores in {folder.name}/")
    _cold(scores, base_s)  # first: a process is charged with the memory of its parent
    _planning(scores, base_s)
    _technique(scores, base_s)
    _sound(scores, base_s)
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"memory of this run at its peak: {own} MB")


def _say(what: str, seconds: float, base_s: float, limit: str) -> None:
    shown = f"{seconds * 1000:.1f} ms" if seconds < 1 else f"{seconds:.2f} s"
    print(f"{what:<52} {shown:>10}  {seconds / base_s:6.2f} × reference   (limit {limit})")


def _planning(scores: list[Path], base_s: float) -> None:
    from suspirium.plan.build import plan_hymn
    from suspirium.score.reading import read

    read_s, plan_s, both_s = [], [], []
    for score in [scores[0], *scores]:  # the first warms up and is not counted
        data = score.read_bytes()
        hymn = read(data, score.name)
        read_s.append(timed(lambda data=data, name=score.name: read(data, name)))
        plan_s.append(timed(lambda hymn=hymn: plan_hymn(hymn)))
        both_s.append(read_s[-1] + plan_s[-1])
    _say("reading one hymn, median", statistics.median(read_s[1:]), base_s, "-")
    _say("planning one hymn, median", statistics.median(plan_s[1:]), base_s, "-")
    _say("reading and planning one hymn, median", statistics.median(both_s[1:]), base_s, "80 ms")
    _say("reading and planning one hymn, slowest", max(both_s[1:]), base_s, "-")


def _technique(scores: list[Path], base_s: float) -> None:
    from suspirium.plan.build import plan_hymn
    from suspirium.score.reading import read
    from suspirium.technique import find_technique

    found_s = []
    for score in [scores[0], *scores]:  # the first warms up and is not counted
        plan = plan_hymn(read(score.read_bytes(), score.name))
        found_s.append(timed(lambda plan=plan: find_technique(plan)))
    _say("hands and feet of one hymn, median", statistics.median(found_s[1:]), base_s, "120 ms")
    _say("hands and feet of one hymn, slowest", max(found_s[1:]), base_s, "-")


def _cold(scores: list[Path], base_s: float) -> None:
    score = str(scores[0])
    seconds, memory = cold("plan", score)
    _say(f"plan from a cold start ({memory} MB)", seconds, base_s, "1 s, 400 MB")
    with tempfile.TemporaryDirectory() as folder:
        for path, name in ((scores[0], "first"), (_longest(scores), "longest")):
            seconds, memory = cold("prepare", str(path), "--out", folder, "--quiet")
            what = f"prepare from a cold start, {name} ({memory} MB)"
            _say(what, seconds, base_s, "4 s, 400 MB")


def _longest(scores: list[Path]) -> Path:
    """The score whose file says most: many stanzas make long recordings and pages."""
    return max(scores, key=lambda path: path.stat().st_size)


def _sound(scores: list[Path], base_s: float) -> None:
    from suspirium.plan.build import plan_hymn
    from suspirium.plan.performance import perform
    from suspirium.render.sound import render_sound
    from suspirium.score.reading import read

    plan = plan_hymn(read(scores[0].read_bytes(), scores[0].name))
    performance = perform(plan)
    start = time.perf_counter()
    render_sound(performance, plan.room)
    first_s = time.perf_counter() - start
    warm_s = timed(lambda: render_sound(performance, plan.room), 3)
    _say("sound, first time", first_s, base_s, "-")
    _say("sound, warm", warm_s, base_s, "-")
    length = performance.duration_s
    times = f"{length / first_s:7.0f} × first, {length / warm_s:.0f} × warm"
    print(f"{'sound against real time':<52} {times}   (limit 200 ×)")


if __name__ == "__main__":
    main()
