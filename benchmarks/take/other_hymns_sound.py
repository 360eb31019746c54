"""Prints how surely a recording of another hymn is told.

python benchmarks/take/other_hymns_sound.py [--part develop|report] [--every N] [--others N]

Two stanzas of each hymn sound in a diffuse hall of 2 s (`tests/sounding.py`) and are followed
through their own hymn and through others drawn at random. Printed are the course of each
(`suspirium.take.sound.hear.Heard`), the least of its own and the largest of another one, and
how many lie on the wrong side of the table's limit.
"""

from __future__ import annotations

import argparse
import random
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchmarks.take.conditions import LEAD_S, RATE  # noqa: E402
from benchmarks.take.evaluate import HYMNS, how_played  # noqa: E402
from benchmarks.take.halves import half  # noqa: E402
from benchmarks.take.other_hymns import alike, intervals  # noqa: E402
from tests.playing import play  # noqa: E402
from tests.sounding import Hall, sound  # noqa: E402

from suspirium.desk.planning import plan_file  # noqa: E402
from suspirium.errors import TakeError  # noqa: E402
from suspirium.plan.model import LeadingPlan  # noqa: E402
from suspirium.tables import load  # noqa: E402
from suspirium.take.expected import ways  # noqa: E402
from suspirium.take.sound.hear import hear  # noqa: E402
from suspirium.units import quarters_to_seconds  # noqa: E402


def main() -> None:
    """Play, hear along its own and other hymns, print."""
    parser = argparse.ArgumentParser(description="Recordings of other hymns.")
    parser.add_argument("--part", choices=("develop", "report"), default="report")
    parser.add_argument("--every", type=int, default=3, help="play only every Nth hymn")
    parser.add_argument("--others", type=int, default=3, help="other hymns for each recording")
    given = parser.parse_args()
    plans = {path.stem: plan_file(path) for path in half(HYMNS, given.part)}
    tunes = {name: intervals(plan) for name, plan in plans.items()}
    own, others = [], []
    for seed, name in enumerate(list(plans)[:: given.every]):
        played = play(plans[name], how_played(plans[name], seed, stanzas=2))
        recording = sound(played.notes, Hall(seed=seed), RATE, LEAD_S).astype(np.float32)
        own.append((_course(plans[name], recording), name))
        different = [o for o in plans if o != name and not alike(tunes[name], tunes[o])]
        for other in random.Random(seed).sample(different, min(given.others, len(different))):
            others.append((_course(plans[other], recording), f"{name} along {other}"))
    limit = load("take").number("sound.least_course")
    refused = sum(course < limit for course, _ in own)
    accepted = sum(course >= limit for course, _ in others)
    print(f"limit {limit}: own refused {refused} of {len(own)}, least:", *sorted(own)[:3])
    print(f"another accepted {accepted} of {len(others)}, largest:", *sorted(others)[-3:])


def _course(plan: LeadingPlan, recording: np.ndarray) -> float:
    quarter_s = quarters_to_seconds(1, plan.tempo.value.quarter_bpm)
    try:
        return hear(recording, ways(plan), quarter_s, float(plan.gap.value.hold_q)).course
    except TakeError:
        return -1.0


if __name__ == "__main__":
    main()
