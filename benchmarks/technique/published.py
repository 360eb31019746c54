"""How the search's fingering of single lines stands by the published rules for one line.

Usage: python benchmarks/technique/published.py

Where the left hand plays the tenor alone, runs of five keys are judged by the twelve rules
of Parncutt and others 1997: the search's fingers, the best of all fingers by those very rules
(exhaustive), and all fingers' mean. The search minds the whole hymn (both hands, holds, lifts,
what comes after), so it can't be as good by these rules alone; how much it gives away is told,
also rule by rule. Data: the real hymns beside the project.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise, product
from pathlib import Path
from statistics import mean

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.technique import find_technique
from suspirium.technique.fingers.published import rule_points
from suspirium.technique.model import PlayedNote

HYMNS = Path(__file__).resolve().parents[3] / "shared" / "hymns"
RUN, EVERY = 5, 4  # keys of a run; every fourth hymn

Run = tuple[tuple[int, ...], tuple[int, ...]]


def runs(notes: list[PlayedNote]) -> list[Run]:
    """Keys and fingers of runs that one hand plays joined, one key at a time, no substitution."""
    found: list[Run] = []
    line: list[PlayedNote] = []
    for before, note in pairwise(notes):
        joined = before.release_s >= note.onset_s - 1e-6 and before.onset_s < note.onset_s
        single = before.release_s <= note.onset_s + 1e-6
        if joined and single and len(before.fingers) == len(note.fingers) == 1:
            line = [*(line or [before]), note]
        else:
            line = []
        if len(line) == RUN:
            found.append((tuple(n.midi_pitch for n in line), tuple(n.fingers[0] for n in line)))
            line = []
    return found


def main() -> None:
    """Prints the means over all runs."""
    ours, best, anyhow = [], [], []
    by_rule: Counter[int] = Counter()
    for path in sorted(HYMNS.glob("*.abc"))[::EVERY]:
        technique = find_technique(plan_hymn(read(path.read_bytes(), path.name)))
        left = [n for n in technique.notes if n.plays == "left" and n.voice == "tenor"]
        for keys, fingers in set(runs(left)):
            every = []
            for choice in product(range(1, 6), repeat=RUN):
                try:
                    every.append(sum(rule_points(keys, choice, "left").values()))
                except ValueError:
                    continue
            try:
                own = rule_points(keys, fingers, "left")
            except ValueError:
                continue  # one finger slides from key to key, which the rules don't know
            ours.append(sum(own.values()))
            by_rule.update(own)
            best.append(min(every))
            anyhow.append(mean(every))
    print(f"{len(ours)} runs of {RUN} keys in the left hand, points of the published rules a run:")
    print(f"  the search {mean(ours):.2f}, the least possible {mean(best):.2f}, ", end="")
    print(f"all fingers {mean(anyhow):.2f}; the least reached in {reached(ours, best):.0%}")
    share = {rule: round(points / len(ours), 2) for rule, points in sorted(by_rule.items())}
    print(f"  the search's by rule: {share}")


def reached(ours: list[float], best: list[float]) -> float:
    """The share of runs where no fingers are better by those rules."""
    return mean(one <= least for one, least in zip(ours, best, strict=True))


if __name__ == "__main__":
    main()
