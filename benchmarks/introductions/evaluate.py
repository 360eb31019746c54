"""How often the proposed introduction is the one that a hymnal's editor brackets.

``python benchmarks/introductions/evaluate.py [FOLDER]`` takes hymns in ABC with their
``labels.json``. A choice agrees when it overlaps the bracket by half or more (intersection
over union), counted in melody notes, or in score time until the end of each last note. The
costs in the table were fitted on half of the tunes: the other half and the cross-validation
(ten divisions by tune, each half judged by costs that the other half taught) tell what to
expect of other hymns. One editor's brackets are one opinion: nearly all of them are the last
line, or the last two.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from random import Random

from bracketed import HALF, HYMNS, Bracketed, bracketed_hymns, by_notes, by_time, halves
from learn import BY_HAND, Case, Costs, by_hand, case, fit, ranked

from suspirium.tables import load

DIVISIONS = 10
Chosen = Callable[[Case], Sequence[int]]


def table_costs() -> Costs:
    costs = by_hand()
    for place, name in enumerate(BY_HAND):
        costs[place] = load("introduction").number(f"cost.{name}")
    return costs


def by_costs(costs: Costs) -> Chosen:
    """The choices under these costs."""
    return partial(ranked, costs=costs)


def agreeing(cases: Sequence[Case], chosen: Chosen) -> tuple[int, int, int]:
    """First choices that agree by notes and by time, and hymns with one in the first three."""
    first = time = three = 0
    for one in cases:
        order = chosen(one)
        first += bool(one.notes[order[0]] >= HALF)
        time += bool(one.time[order[0]] >= HALF)
        three += bool((one.notes[list(order[:3])] >= HALF).any())
    return first, time, three


def always_last(hymns: Sequence[Bracketed]) -> tuple[int, int]:
    """How often the last line alone agrees."""
    spans = [(h, [(h.tune.lines[-1].first_onset_q, h.tune.lines[-1].last_onset_q)]) for h in hymns]
    return (
        sum(by_notes(h.tune, last, h.spans) >= HALF for h, last in spans),
        sum(by_time(h.tune, last, h.spans) >= HALF for h, last in spans),
    )


def cross_validated(cases: Sequence[Case]) -> list[tuple[int, int, int]]:
    names = sorted({one.hymn.name for one in cases})
    totals = []
    for seed in range(DIVISIONS):
        Random(seed).shuffle(names)
        half = set(names[::2])
        parts = [[c for c in cases if (c.hymn.name in half) is side] for side in (True, False)]
        costs = [fit(part) for part in parts]
        found = [agreeing(parts[0], by_costs(costs[1])), agreeing(parts[1], by_costs(costs[0]))]
        first, time, three = (sum(pair) for pair in zip(*found, strict=True))
        totals.append((first, time, three))
    return totals


def _say(name: str, count: int, first: float, time: float, three: float) -> None:
    print(
        f"{name:34} first choice {first / count:5.1%} by notes, {time / count:5.1%} by time; "
        f"within three {three / count:5.1%}  ({count} hymns)"
    )


def main() -> None:
    hymns = list(bracketed_hymns(Path(sys.argv[1]) if len(sys.argv) > 1 else HYMNS))
    cases = [case(hymn) for hymn in hymns]
    of = {one.hymn.stem: one for one in cases}
    last, last_time = always_last(hymns)
    shares = f"{last / len(hymns):.1%} by notes, {last_time / len(hymns):.1%} by time"
    print(f"always the last line: {shares}")
    costs = table_costs()
    learning, held_out = ([of[h.stem] for h in half] for half in halves(hymns))
    for name, part, by in (
        ("costs set by hand, no fit", cases, by_hand()),
        ("table, tunes it was fitted on", learning, costs),
        ("table, the other tunes", held_out, costs),
        ("table, all", cases, costs),
    ):
        _say(name, len(part), *agreeing(part, by_costs(by)))
    found = cross_validated(cases)
    mean = [sum(column) / len(found) for column in zip(*found, strict=True)]
    _say("cross-validated by tune, mean", len(cases), mean[0], mean[1], mean[2])
    firsts = [first for first, _, _ in found]
    print(f"  first choice from {min(firsts) / len(cases):.1%} to {max(firsts) / len(cases):.1%}")


if __name__ == "__main__":
    main()
