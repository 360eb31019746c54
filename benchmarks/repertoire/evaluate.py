"""Prints how well tunes are known again in another key or rhythm.

python benchmarks/repertoire/evaluate.py

Two collections: the real hymns beside the project, whose labels name the tune, and the Bach
chorales of music21's corpus, where two settings with one title in the Riemenschneider list
are taken to be one tune. A tune often has several titles there, so that the precision on
chorales is a lower bound. The least likeness is set on the tunes of one half of a collection
and measured on the other half, then the reverse; beside it stands the table's.
"""

from __future__ import annotations

import json
import sys
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "benchmarks" / "phrases"))

from chorales import read_chorales  # noqa: E402

from suspirium.repertoire.alike import likenesses  # noqa: E402
from suspirium.repertoire.melody import Melody, melody_of  # noqa: E402
from suspirium.score.reading import read  # noqa: E402
from suspirium.tables import load  # noqa: E402

HYMNS = ROOT.parent / "shared" / "hymns"
GRID = [n / 100 for n in range(60, 100)]


@dataclass(frozen=True)
class Pair:
    """Two melodies: how alike they are, whether they are one tune, and their names."""

    likeness: float
    same: bool
    names: tuple[str, str]


Collection = dict[str, tuple[str, Melody]]  # by name: the tune and the melody


def hymns() -> Collection:
    """The real hymns by their label's tune; none where they are absent."""
    if not HYMNS.is_dir():
        return {}
    labels = json.loads((HYMNS / "labels.json").read_text("utf-8"))
    return {
        name: (label["tune"], melody_of(read((HYMNS / f"{name}.abc").read_bytes(), name + ".abc")))
        for name, label in labels.items()
    }


def chorales() -> Collection:
    """The chorales by their title in the Riemenschneider list; others are left out."""
    from music21 import corpus

    listed = corpus.chorales.ChoraleListRKBWV().byRiemenschneider.values()
    titles = {f"bwv{entry['bwv']}": str(entry["title"]).casefold() for entry in listed}
    found = ((hymn.title, hymn) for hymn in read_chorales())
    return {name: (titles[name], melody_of(hymn)) for name, hymn in found if name in titles}


def pairs(known: Collection) -> list[Pair]:
    """Every two of a collection."""
    names = sorted(known)
    return [
        Pair(value, known[a][0] == known[b][0], (a, b))
        for i, a in enumerate(names[:-1])
        for b, value in zip(
            names[i + 1 :],
            likenesses(known[a][1], [known[name][1] for name in names[i + 1 :]]),
            strict=True,
        )
    ]


def measure(found: Sequence[Pair], least: float) -> tuple[float, float, float]:
    """Precision, recall and F1 of the pairs that are at least so alike."""
    told = [pair for pair in found if pair.likeness >= least]
    right = sum(pair.same for pair in told)
    precision = right / len(told) if told else 1.0
    recall = right / max(1, sum(pair.same for pair in found))
    return precision, recall, 2 * precision * recall / max(1e-9, precision + recall)


def best(found: Sequence[Pair]) -> float:
    """The least likeness of the best F1; in the middle where several are as good."""
    values = {least: measure(found, least)[2] for least in GRID}
    good = [least for least, value in values.items() if value == max(values.values())]
    return good[len(good) // 2]


def halves(known: Collection) -> Iterator[tuple[list[Pair], list[Pair]]]:
    """Pairs to set the least likeness on and pairs to measure it on, both ways round."""
    parts: list[Collection] = [
        {name: item for name, item in known.items() if zlib.crc32(item[0].encode()) % 2 == half}
        for half in (0, 1)
    ]
    first, second = (pairs(part) for part in parts)
    yield first, second
    yield second, first


def report(name: str, read_all: Callable[[], Collection], worst: int) -> None:
    """Prints the figures of one collection."""
    known = read_all()
    if not known:
        print(f"{name}: absent, not measured")
        return
    every = pairs(known)
    print(f"{name}: {len(known)} melodies, {sum(pair.same for pair in every)} pairs of one tune")
    for train, test in halves(known):
        least = best(train)
        print(f"  set to {least:.2f} on one half, on the other: {_words(measure(test, least))}")
    least = load("repertoire").number("alike.least")
    print(f"  the table's {least:.2f}, all pairs: {_words(measure(every, least))}")
    missed = sorted((p for p in every if p.same and p.likeness < least), key=lambda p: p.likeness)
    wrong = sorted((p for p in every if not p.same and p.likeness >= least), key=_alike)
    for what, some in (("missed", missed[:worst]), ("not named as one", wrong[-worst:])):
        for pair in some:
            a, b = (f"{item} ({known[item][0]})" for item in pair.names)
            print(f"    {what}: {pair.likeness:.2f} {a} and {b}")


def _alike(pair: Pair) -> float:
    return pair.likeness


def _words(values: tuple[float, float, float]) -> str:
    return "precision {:.3f}, recall {:.3f}, F1 {:.3f}".format(*values)


def main() -> None:
    """Measure both collections."""
    worst = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    report("hymns", hymns, worst)
    report("chorales", chorales, worst)


if __name__ == "__main__":
    main()
