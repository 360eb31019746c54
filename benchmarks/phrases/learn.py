"""Learning the weights of the search for lines from examples."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from examples import Example, melody
from field import Piece, learn_field
from rank import Ranking, learn_ranking
from tunes import TUNES

from suspirium.plan.phrases.find import Reading, candidates, read_hymn
from suspirium.plan.phrases.metres import Metres
from suspirium.plan.phrases.music import Columns
from suspirium.plan.phrases.segment import LONGEST, Ends
from suspirium.plan.phrases.weights import INTERCEPT, SIGNS, Weights, printed_signs
from suspirium.plan.phrases.whole import NAMES

INNER_FOLDS = 5


@dataclass(frozen=True)
class Item:
    """An example as it is learnt from: its reading and where its lines end."""

    example: Example
    reading: Reading
    cuts: tuple[int, ...]  # boundaries of the true lines, 0 and the last unit's end included

    def f1(self, way: Ends) -> float:
        """F1 of a segmentation on internal ends."""
        line = self.reading.line
        return f1([line.onset_q(line.last_note[b - 1]) for b in way], self.example.spans[:-1])

    @cached_property
    def piece(self) -> Piece:
        """The example as the field learns from it."""
        columns, spans = self.reading.columns, self.reading.spans
        return Piece(
            np.array([columns[name] for name in learnt(columns)]).T,
            np.stack([spans[name] for name in spans], axis=-1),
            self.cuts,
            self.example.count,
        )


def learnt(columns: Columns) -> list[str]:
    """The columns that examples can teach; printed signs are hidden in them."""
    return [name for name in columns if name not in SIGNS]


def f1(onsets: Sequence[object], spans: Sequence[tuple[object, object]]) -> float:
    """An end is found if any note of the line's last syllable is named."""
    if not spans or not onsets:
        return float(not spans and not onsets)
    right = sum(any(low <= onset <= high for low, high in spans) for onset in onsets)
    found = sum(any(low <= onset <= high for onset in onsets) for low, high in spans)
    precision, recall = right / len(onsets), found / len(spans)
    return 2 * precision * recall / (precision + recall) if right else 0.0


def read_item(example: Example, *, words: bool) -> Item | None:
    """An example read for learning; None if there is nothing to cut."""
    reading = read_hymn(example.hymn, words=words)
    if reading is None:
        return None
    line = reading.line
    onsets = [line.onset_q(note) for note in line.last_note[:-1]]
    cuts = [0]
    for low, high in example.spans[:-1]:
        inside = [b for b, onset in enumerate(onsets, 1) if low <= onset <= high]
        cuts += inside[-1:]
    return Item(example, reading, (*sorted(set(cuts)), line.count))


def items(examples: Sequence[Example], kind: str) -> list[Item]:
    """The examples as "words", "notes", "melody" or "florid" weights are learnt from them.

    For "melody" that is their highest voice, for all but "words" their notes alone.
    """
    if kind == "melody":
        examples = [melody(example) for example in examples]
    found = (read_item(example, words=kind == "words") for example in examples)
    return [item for item in found if item is not None]


def folds(tunes: Sequence[str], count: int, seed: int) -> list[list[int]]:
    """Indices in `count` parts, no tune in two of them."""
    names = sorted(set(tunes))
    np.random.default_rng(seed).shuffle(names)
    part = {name: i % count for i, name in enumerate(names)}
    return [[i for i, tune in enumerate(tunes) if part[tune] == k] for k in range(count)]


def learn(train: Sequence[Item]) -> Weights:
    """Weights from some items; rankings are learnt on ends scored by other tunes."""
    rankings: list[Ranking] = []
    for fold in folds([item.example.tune for item in train], INNER_FOLDS, seed=1):
        held = set(fold)
        inner = learn_ends([item for i, item in enumerate(train) if i not in held])
        rankings += [_ranking(train[i], inner) for i in fold]
    whole = dict(zip(NAMES, learn_ranking(rankings, NAMES.index("score")).tolist(), strict=True))
    return replace(learn_ends(train), whole=whole)


def _ranking(item: Item, known: Weights) -> Ranking:
    """Features of each candidate and its F1."""
    reading = item.reading
    ways, features = candidates(reading, known, known.scores(reading.columns, reading.spans))
    return np.array(features), np.array([item.f1(way) for way in ways])


def learn_ends(train: Sequence[Item]) -> Weights:
    """Weights of ends and lines, and the line lengths seen; none of wholes."""
    metres = _metres(train)
    field = learn_field([item.piece for item in train], np.array(metres.logs(LONGEST)))
    reading = train[0].reading
    ends = dict(zip(learnt(reading.columns), field.ends.tolist(), strict=True))
    ends[INTERCEPT] = field.intercept
    spans = dict(zip(reading.spans, field.lines.tolist(), strict=True))
    return Weights(ends, spans, field.lengths, {}, metres, printed_signs())


def _metres(train: Sequence[Item]) -> Metres:
    rows = [[min(LONGEST, b - a) for a, b in pairwise(item.cuts)] for item in train]
    lengths = Counter(length for row in rows for length in row)
    pairs = Counter(pair for row in rows for pair in pairwise(row))
    return Metres(lengths, pairs, TUNES)
