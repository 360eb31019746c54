"""Prints how our matcher and a general one do on the same takes, F1 and time side by side.

python benchmarks/take/beside.py [--every N]

The other one is parangonar (Apache 2.0), a library for aligning any performance with any
score: pip install '.[bench]'. It is handed the score as played, all stanzas after one
another, with keys that two voices share merged; ours finds the stanzas by itself. The
takes are simulated (`tests/playing.py`).
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from statistics import mean, median
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchmarks.take.evaluate import HYMNS, PARISH, how_played  # noqa: E402
from tests.playing import Played, Playing, play  # noqa: E402

from suspirium.desk.planning import plan_file  # noqa: E402
from suspirium.plan.clock import stanza_clock  # noqa: E402
from suspirium.plan.model import LeadingPlan  # noqa: E402
from suspirium.take.expected import ways  # noqa: E402
from suspirium.take.match import match  # noqa: E402
from suspirium.take.model import Take  # noqa: E402

_SCORE = [
    ("onset_beat", "f4"),
    ("duration_beat", "f4"),
    ("onset_quarter", "f4"),
    ("duration_quarter", "f4"),
    ("onset_div", "i4"),
    ("duration_div", "i4"),
    ("pitch", "i4"),
    ("voice", "i4"),
    ("id", "U64"),
    ("divs_pq", "i4"),
    ("is_grace", "?"),
]
_TAKE = [
    ("onset_sec", "f4"),
    ("duration_sec", "f4"),
    ("pitch", "i4"),
    ("velocity", "i4"),
    ("track", "i4"),
    ("channel", "i4"),
    ("id", "U64"),
]
_DIVISIONS = 48


def main() -> None:
    """Play, match twice, print."""
    parser = argparse.ArgumentParser(description="Our matcher beside a general one.")
    parser.add_argument("--every", type=int, default=10, help="take only every Nth hymn")
    given = parser.parse_args()
    try:
        from parangonar.match import DualDTWNoteMatcher
    except ImportError:
        print("parangonar is not installed: pip install '.[bench]'")
        return
    folder = HYMNS if HYMNS.is_dir() else PARISH
    plans = [plan_file(path) for path in sorted(folder.glob("*.abc"))[:: given.every]]
    other = DualDTWNoteMatcher()
    for name, how in SCENES.items():
        rows = [_both(plan, play(plan, how(plan, seed)), other) for seed, plan in enumerate(plans)]
        ours, theirs = ([row[side] for row in rows] for side in (0, 1))
        print(f"{name} ({len(rows)} takes)")
        print(f"  ours       {_line(ours)}")
        print(f"  parangonar {_line(theirs)}", flush=True)


def _line(rows: list[tuple[float, float]]) -> str:
    scores = [score for score, _ in rows]
    spent = [seconds for _, seconds in rows]
    return f"F1 mean {mean(scores):.4f}, worst {min(scores):.4f}; {median(spent):.2f} s a take"


def _last_line(plan: LeadingPlan) -> int:
    return len(stanza_clock(plan, plan.stanza_numbers[0], last=False).phrase_ends) - 1


SCENES: dict[str, Callable[[LeadingPlan, int], Playing]] = {
    "drift, added beats, 2 % wrong notes": lambda plan, seed: how_played(plan, seed, errors=0.02),
    "the same after the last line as introduction": lambda plan, seed: Playing(
        seed=seed, errors=0.02, introduction=(_last_line(plan),)
    ),
    "the same with the second line played three times": lambda plan, seed: Playing(
        seed=seed, errors=0.02, again={(0, min(1, _last_line(plan))): 2}
    ),
}


def _both(
    plan: LeadingPlan, played: Played, other: Any
) -> tuple[tuple[float, float], tuple[float, float]]:
    take = Take(tuple(played.notes))
    begin = time.perf_counter()
    found = match(plan, take)
    ours_s = time.perf_counter() - begin
    truth = {(_name(*name), index) for index, name in _named(played)}
    first = {name: index for index, name in _named(played)}
    own = {
        (
            _name(stanza, found.ways[one.way].chords[chord.index].onset_q, matched.key.midi),
            first.get(played.names[matched.note], matched.note),  # type: ignore[arg-type]
        )
        for stanza, one in enumerate(found.stanzas)
        for chord in one.chords
        for matched in chord.matched
    }
    score, performance = _score(plan), _performance(played)
    begin = time.perf_counter()
    aligned = other(score, performance)
    theirs_s = time.perf_counter() - begin
    got = {
        (str(row["score_id"]), int(row["performance_id"]))
        for row in aligned
        if row["label"] == "match"
    }
    return (_f1(truth, own), ours_s), (_f1(truth, got), theirs_s)


def _f1(truth: set[tuple[str, int]], got: set[tuple[str, int]]) -> float:
    return 2 * len(truth & got) / (len(truth) + len(got))


def _name(stanza: int, onset_q: object, midi: int) -> str:
    return f"{stanza}|{onset_q}|{midi}"


def _named(played: Played) -> list[tuple[int, tuple[int, object, int]]]:
    """The notes that played a key of a stanza, the first of those that share one."""
    first: dict[tuple[int, object, int], int] = {}
    for index, name in enumerate(played.names):
        if name is not None and name[0] >= 0:
            first.setdefault(name, index)
    return [(index, name) for name, index in first.items()]


def _score(plan: LeadingPlan) -> Any:
    known = ways(plan)
    rows = []
    at_q = Fraction(0)
    for stanza, number in enumerate(plan.stanza_numbers):
        way = next(way for way in known if number in way.stanzas)
        for chord in way.chords:
            onset_q = at_q + chord.onset_q
            for key in chord.keys:
                length_q = key.end_q - chord.onset_q
                name = _name(stanza, chord.onset_q, key.midi)
                lengths = (float(onset_q), float(length_q)) * 2
                divisions = (round(onset_q * _DIVISIONS), round(length_q * _DIVISIONS))
                rows.append((*lengths, *divisions, key.midi, 1, name, _DIVISIONS, False))
        closing = way.clock.phrase_ends[-1]
        at_q += closing.end_q - closing.phrase.written_q + plan.gap.value.onset_to_onset_q
    return np.array(rows, dtype=_SCORE)


def _performance(played: Played) -> Any:
    seconds = {index for index, _ in _named(played)}
    rows = [
        (note.onset_s, note.release_s - note.onset_s, note.midi, 64, 0, 0, str(index))
        for index, note in enumerate(played.notes)
        if index in seconds or played.names[index] is None or played.names[index][0] < 0  # type: ignore[index]
    ]
    return np.array(rows, dtype=_TAKE)


if __name__ == "__main__":
    main()
