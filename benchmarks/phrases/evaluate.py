"""Prints how well the ends of lines are found, by cross-validation split by tune.

python benchmarks/phrases/evaluate.py [--kinds words notes melody florid] [--folds 8] [--seeds 1 2]

For each fold everything is learnt anew from the other tunes, the ranking of whole
segmentations included; counted are internal ends only, mean F1 over the hymns. Beside it
stands the rule of the long note (an end wherever a note lasts twice the median).
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence
from statistics import mean, median

from examples import Example, chorale_examples, hymn_examples
from learn import Item, folds, items, learn

from suspirium.plan.phrases.choose import most_agreeing, probabilities
from suspirium.plan.phrases.find import candidates
from suspirium.plan.phrases.segment import Ends
from suspirium.plan.phrases.weights import Weights

LONG = 2  # times the median length


def main() -> None:
    """Cross-validate and print."""
    parser = argparse.ArgumentParser(description="Cross-validate the search for lines.")
    parser.add_argument("--kinds", nargs="+", default=["words", "notes", "melody", "florid"])
    parser.add_argument("--folds", type=int, default=8)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1])
    parser.add_argument("--worst", type=int, default=0, help="how many to list")
    given = parser.parse_args()
    hymns, chorales = hymn_examples(), chorale_examples()
    for kind in given.kinds:
        for seed in given.seeds:
            report(kind, chorales if kind == "florid" else hymns, seed, given)
    _other_kind(hymns, chorales)


def report(kind: str, examples: Sequence[Example], seed: int, given: argparse.Namespace) -> None:
    """Print the figures of one kind of score."""
    known = items(examples, kind)
    begin = time.perf_counter()
    found = cross_validated(known, given.folds, seed)
    seconds = time.perf_counter() - begin
    values = [item.f1(way) for item, way in zip(known, found, strict=True)]
    simple = mean(item.f1(long_notes(item)) for item in known)
    print(
        f"{kind}: {len(known)} {examples[0].domain}s, {given.folds} folds by tune, split {seed}: "
        f"mean F1 {mean(values):.4f}, {sum(v == 1 for v in values)} without a fault "
        f"(long notes {simple:.3f}; {seconds:.0f} s)",
        flush=True,
    )
    ranked = sorted(zip(values, known, strict=True), key=lambda pair: pair[0])
    for value, item in ranked[: given.worst]:
        print(f"    {value:.3f} {item.example.name} ({item.reading.kind})")


def _other_kind(hymns: Sequence[Example], chorales: Sequence[Example]) -> None:
    """Pieces taken to be of the other style, cut by the weights learnt from that one."""
    for kind, examples, teachers in (
        ("florid", hymns, chorales),
        ("notes", chorales, hymns),
    ):
        strange = [item for item in items(examples, "notes") if item.reading.kind == kind]
        weights = learn(items(teachers, kind))
        values = [item.f1(cut(item, weights)) for item in strange]
        print(
            f"{len(values)} of {len(examples)} {examples[0].domain}s are taken to be {kind!r}"
            + (f": mean F1 {mean(values):.4f}" if values else "")
        )


def cross_validated(known: Sequence[Item], parts: int, seed: int) -> list[Ends]:
    """The ends found in each item by weights learnt from other tunes."""
    found: dict[int, Ends] = {}
    for fold in folds([item.example.tune for item in known], parts, seed):
        held = set(fold)
        weights = learn([item for i, item in enumerate(known) if i not in held])
        for i in fold:
            found[i] = cut(known[i], weights)
    return [found[i] for i in range(len(known))]


def cut(item: Item, weights: Weights) -> Ends:
    """The ends of lines that these weights find."""
    reading = item.reading
    ways, features = candidates(reading, weights, weights.scores(reading.columns, reading.spans))
    return most_agreeing(ways, probabilities(weights.whole_scores(features)))


def long_notes(item: Item) -> Ends:
    """Ends by the rule of the long note."""
    line = item.reading.line
    lengths = [line.notes[last].end - line.notes[last].start for last in line.last_note]
    least = LONG * median(lengths)
    return tuple(b for b in range(1, line.count) if lengths[b - 1] >= least)


if __name__ == "__main__":
    main()
