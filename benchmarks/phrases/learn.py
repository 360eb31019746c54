"""Learning the weights: logistic ends, line lengths, and how whole segmentations rank."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from examples import Example
from scipy.optimize import minimize

from suspirium.plan.phrases.find import Reading, candidates, read_hymn
from suspirium.plan.phrases.metres import Metres
from suspirium.plan.phrases.segment import LONGEST, Array, Ends
from suspirium.plan.phrases.weights import INTERCEPT, Weights
from suspirium.plan.phrases.whole import NAMES

END_PENALTY = 1 / 0.3  # ridge on standardised weights of ends
WHOLE_PENALTY = 1 / 0.3  # the same for whole segmentations
SHARPNESS = 25.0  # how much better a segmentation must be taken to be for its F1
PAIR_COUNT = 6.0  # pairs of lengths count against so many of the single lengths
INNER_FOLDS = 5
KNOWN = tuple(
    tuple(int(n) for n in metre.split("."))
    for metre in [
        "6.6.8.6",
        "8.6.8.6",
        "8.8.8.8",
        "8.7.8.7",
        "7.6.7.6",
        "6.6.6.6.8.8",
        "8.8.6.8.8.6",
        "6.6.4.6.6.6.4",
        "11.12.12.10",
        "8.7.8.7.8.7",
        "8.8.8.8.8.8",
        "7.7.7.7",
        "7.7.7.7.7.7",
        "10.10.10.10",
        "11.11.11.11",
        "10.10.11.11",
        "14.14.4.7.8",
    ]
)


@dataclass(frozen=True)
class Item:
    """An example as it is learnt from: its reading and where its lines end."""

    example: Example
    reading: Reading
    truth: Array  # 1 at a boundary after a line's last syllable, else 0

    def f1(self, way: Ends) -> float:
        """F1 of a segmentation on internal ends, as labels.json counts."""
        line = self.reading.line
        return f1([line.onset_q(line.last_note[b - 1]) for b in way], self.example.spans[:-1])


def f1(onsets: Sequence[object], spans: Sequence[tuple[object, object]]) -> float:
    """An end is found if any note of the line's last syllable is named."""
    if not spans or not onsets:
        return float(not spans and not onsets)
    right = sum(any(low <= onset <= high for low, high in spans) for onset in onsets)
    found = sum(any(low <= onset <= high for onset in onsets) for low, high in spans)
    precision, recall = right / len(onsets), found / len(spans)
    return 2 * precision * recall / (precision + recall) if right else 0.0


def items(examples: Sequence[Example], *, words: bool) -> list[Item]:
    """Examples read for learning, those without words left out if `words`."""
    found = []
    for example in examples:
        reading = read_hymn(example.hymn, words=words)
        if words and reading.kind != "words":
            continue
        line = reading.line
        onsets = [line.onset_q(note) for note in line.last_note[:-1]]
        truth = np.zeros(line.count - 1)
        for low, high in example.spans[:-1]:
            inside = [i for i, onset in enumerate(onsets) if low <= onset <= high]
            truth[inside[-1:]] = 1
        found.append(Item(example, reading, truth))
    return found


def line_lengths(item: Item) -> list[int]:
    """Units of each line."""
    cuts = [0, *(np.flatnonzero(item.truth) + 1).tolist(), item.reading.line.count]
    return [min(LONGEST, b - a) for a, b in pairwise(cuts)]


def learn(train: Sequence[Item]) -> Weights:
    """Weights from some items; rankings are learnt on ends scored by other tunes."""
    rankings = []
    for fold in folds([item.example.tune for item in train], INNER_FOLDS, seed=1):
        held = set(fold)
        inner = _learn_ends([item for i, item in enumerate(train) if i not in held])
        rankings += [_ranking(train[i], inner) for i in fold]
    ends = _learn_ends(train)
    return Weights(ends.ends, _learn_whole(rankings), ends.metres)


def folds(tunes: Sequence[str], count: int, seed: int) -> list[list[int]]:
    """Indices in `count` parts, no tune in two of them."""
    names = sorted(set(tunes))
    np.random.default_rng(seed).shuffle(names)
    part = {name: i % count for i, name in enumerate(names)}
    return [[i for i, tune in enumerate(tunes) if part[tune] == k] for k in range(count)]


def _ranking(item: Item, known: Weights) -> tuple[Array, Array]:
    """Features of each candidate and its F1."""
    ways, features = candidates(item.reading, known, known.end_scores(item.reading.columns))
    return np.array(features), np.array([item.f1(way) for way in ways])


def _learn_ends(train: Sequence[Item]) -> Weights:
    names = list(train[0].reading.columns)
    rows = np.vstack([np.array([item.reading.columns[name] for name in names]).T for item in train])
    truth = np.concatenate([item.truth for item in train])
    mean, spread = rows.mean(0), rows.std(0) + 1e-6
    scaled = (rows - mean) / spread

    def loss(at: Array) -> tuple[float, Array]:
        weights, bias = at[:-1], at[-1]
        score = scaled @ weights + bias
        value = (np.logaddexp(0, score) - truth * score).sum()
        slope = 1 / (1 + np.exp(-score)) - truth
        gradient = np.append(scaled.T @ slope + END_PENALTY * weights, slope.sum())
        return value + END_PENALTY * weights @ weights / 2, gradient

    best = minimize(loss, np.zeros(len(names) + 1), jac=True, method="L-BFGS-B").x
    weights = best[:-1] / spread
    ends = dict(zip(names, weights.tolist(), strict=True))
    ends[INTERCEPT] = float(best[-1] - mean @ weights)
    return Weights(ends, np.zeros(len(NAMES)), _learn_metres(train))


def _learn_metres(train: Sequence[Item]) -> Metres:
    singles = np.full(LONGEST + 1, 0.1)
    pairs: Counter[tuple[int, int]] = Counter()
    for item in train:
        lengths = line_lengths(item)
        pairs.update(pairwise(lengths))
        for length in lengths:
            singles[length] += 1
            singles[max(1, length - 1)] += 0.15
            singles[min(LONGEST, length + 1)] += 0.15
    singles[0] = 1e-9
    chance = singles / singles.sum()
    firsts: Counter[int] = Counter()
    for (first, _), number in pairs.items():
        firsts[first] += number
    logs = {
        (first, second): float(
            np.log((number + PAIR_COUNT * chance[second]) / (firsts[first] + PAIR_COUNT))
        )
        for first in firsts
        for second in range(1, LONGEST + 1)
        for number in [pairs[first, second]]
    }
    return Metres(np.log(chance).tolist(), logs, frozenset(KNOWN))


def _learn_whole(rankings: Sequence[tuple[Array, Array]]) -> Array:
    """Weights under which the likelier of two candidates is the one with the better F1."""
    spread = np.sqrt(np.mean([f.var(0) for f, _ in rankings], 0)) + 1e-4
    scaled = np.vstack([(f - f[0]) / spread for f, _ in rankings])
    targets = [np.exp(SHARPNESS * (f1s - f1s.max())) for _, f1s in rankings]
    target = np.concatenate([t / t.sum() for t in targets])
    sizes = [len(f) for f, _ in rankings]
    begins = np.cumsum([0, *sizes[:-1]])

    def loss(at: Array) -> tuple[float, Array]:
        score = scaled @ at
        score = score - np.repeat(np.maximum.reduceat(score, begins), sizes)
        power = np.exp(score)
        total = np.add.reduceat(power, begins)
        value = (np.log(total)).sum() - target @ score
        gradient = scaled.T @ (power / np.repeat(total, sizes) - target)
        return value + WHOLE_PENALTY * at @ at / 2, gradient + WHOLE_PENALTY * at

    best = minimize(loss, np.zeros(len(NAMES)), jac=True, method="L-BFGS-B").x
    return np.asarray(best / spread)
