"""Prints how surely a take of another hymn is told, and how seldom the right one is refused.

python benchmarks/take/other_hymns.py [--every N] [--others N]

Takes of keys (`tests/playing.py`, 2 % wrong notes), whole, of the melody alone and of the
lowest voice alone, each heard against its own hymn and against others drawn at random.
Hymns to the same tune are no other hymns: pairs whose melodies share most of their
intervals are left out.
"""

from __future__ import annotations

import argparse
import random
import sys
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchmarks.take.evaluate import HYMNS, PARISH  # noqa: E402
from tests.playing import Playing, play  # noqa: E402

from suspirium.desk.planning import plan_file  # noqa: E402
from suspirium.errors import TakeError  # noqa: E402
from suspirium.plan.model import LeadingPlan  # noqa: E402
from suspirium.take.match import match  # noqa: E402
from suspirium.take.model import Take  # noqa: E402

_SAME_TUNE = 0.7  # share of a melody's intervals in common


@dataclass
class Told:
    """How often a hymn was taken for another, or not known."""

    own: int = 0
    refused: list[str] = field(default_factory=list)
    others: int = 0
    accepted: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        return (
            f"own hymn refused {len(self.refused)} of {self.own}; "
            f"another accepted {len(self.accepted)} of {self.others}"
        )


def main() -> None:
    """Play, hear against own and other hymns, print."""
    parser = argparse.ArgumentParser(description="Takes of other hymns.")
    parser.add_argument("--every", type=int, default=1, help="play only every Nth hymn")
    parser.add_argument("--others", type=int, default=6, help="other hymns for each take")
    given = parser.parse_args()
    folder = HYMNS if HYMNS.is_dir() else PARISH
    plans = {path.stem: plan_file(path) for path in sorted(folder.glob("*.abc"))}
    tunes = {name: intervals(plan) for name, plan in plans.items()}
    for what in ("all voices", "melody alone", "lowest voice alone"):
        told = Told()
        for seed, name in enumerate(list(plans)[:: given.every]):
            take = _take(plans[name], what, seed)
            different = [
                other for other in plans if other != name and not alike(tunes[name], tunes[other])
            ]
            others = random.Random(seed).sample(different, min(given.others, len(different)))
            _hear(told, plans, take, name, others)
        print(f"{what}: {told}", flush=True)
        for line in (*told.refused, *told.accepted):
            print(f"  {line}")


def _take(plan: LeadingPlan, what: str, seed: int) -> Take:
    names = [voice.name for voice in plan.hymn.voices]
    voices = {"melody alone": names[:1], "lowest voice alone": names[-1:]}.get(what)
    how = Playing(seed=seed, errors=0.02, voices=None if voices is None else frozenset(voices))
    return Take(tuple(play(plan, how).notes))


def _hear(
    told: Told, plans: dict[str, LeadingPlan], take: Take, name: str, others: list[str]
) -> None:
    told.own += 1
    if not _found(plans[name], take):
        told.refused.append(f"{name} was refused")
    for other in others:
        told.others += 1
        if _found(plans[other], take):
            told.accepted.append(f"{name} was taken for {other}")


def _found(plan: LeadingPlan, take: Take) -> bool:
    try:
        match(plan, take)
    except TakeError:
        return False
    return True


def intervals(plan: LeadingPlan) -> list[int]:
    """The melody's steps, in semitones."""
    midi = [note.pitches[0].midi for note in plan.hymn.melody.notes if note.pitches]
    return [b - a for a, b in pairwise(midi)]


def alike(one: list[int], other: list[int]) -> bool:
    """Whether two melodies are one tune."""
    return SequenceMatcher(None, one, other, autojunk=False).ratio() >= _SAME_TUNE


if __name__ == "__main__":
    main()
