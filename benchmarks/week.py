"""How long a week takes to plan, and how near the best it is proved to be.

    python benchmarks/week.py [SCORES...]

Six hymns at a time, all new (the hardest case) and mixed, in a week of 200 minutes; without
scores, the parish of the examples, twice over.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from suspirium.desk.planning import plan_file
from suspirium.practice.known import known_as
from suspirium.practice.model import PracticeHymn
from suspirium.practice.passages import passages_of
from suspirium.practice.settings import learning
from suspirium.practice.week import plan_week
from suspirium.technique import find_technique

PARISH = Path(__file__).parents[1] / "examples" / "parish"
MINUTES = {0: 40, 1: 20, 2: 40, 4: 40, 5: 30, 6: 30}
SERVICE = 7
MIXES = {
    "all new": ("new",) * 6,
    "mixed": ("new", "new", "known", "seen", "known", "secure"),
}


def hymn_of(score: Path, level: str) -> PracticeHymn:
    """The hymn as it is practised, known at this level."""
    plan = plan_file(score)
    manuals = find_technique(plan, arrangement="manuals")
    passages = passages_of(plan, find_technique(plan), manuals)
    return PracticeHymn(
        title=plan.hymn.title,
        key=score.stem,
        passages=passages,
        known=tuple(known_as(level, passage, "all", learning()) for passage in passages),
        new=level == "new",
        stanzas=len(plan.stanza_numbers),
    )


def main(scores: list[Path]) -> None:
    """One line for each six hymns and mix: seconds, passages, readiness, proved gap."""
    for start in range(0, len(scores) - 5, 6):
        for mix, levels in MIXES.items():
            six = scores[start : start + 6]
            hymns = [hymn_of(s, level) for s, level in zip(six, levels, strict=True)]
            begin = time.perf_counter()
            week = plan_week(hymns, MINUTES, SERVICE)
            seconds = time.perf_counter() - begin
            passages = sum(len(hymn.passages) for hymn in hymns)
            print(
                f"{mix:8} {passages:3} passages {seconds:6.2f} s  "
                f"ready {week.ready:.3f}  gap {week.gap:.2%}"
            )


if __name__ == "__main__":
    given = [Path(name) for name in sys.argv[1:]]
    main(given or sorted(PARISH.glob("*.abc")) * 2)
