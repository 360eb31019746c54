"""How well the effort agrees with one editor's ratings, on hymns that it was not fitted to.

Usage: python benchmarks/technique/effort.py

Nested cross-validation by tune: the ridge's strength is chosen inside each training part,
the features are fixed. Prints Spearman's rank correlation over several splits, that of
single features, and the weights for ``tables/effort.toml``. Data: the real hymns beside
the project (Open Hymnal Project, 2013 edition, ratings 1 to 5).
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from scipy.optimize import nnls
from scipy.stats import spearmanr

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.technique import find_technique
from suspirium.technique.effort.figure import FEATURES, features

HYMNS = Path(__file__).resolve().parents[3] / "shared" / "hymns"
STRENGTHS = (100.0, 200.0)  # strong, so that every component keeps a say
FOLDS, INNER_FOLDS, SPLITS = 10, 5, 5


def examples(folder: Path = HYMNS) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Features (hymns, features), ratings and tune names."""
    labels = json.loads((folder / "labels.json").read_text("utf-8"))
    rows = []
    for stem in labels:
        path = folder / f"{stem}.abc"
        technique = find_technique(plan_hymn(read(path.read_bytes(), path.name)))
        found = features(technique.effort.components)
        rows.append([found[name] for name in FEATURES])
    ratings = np.array([float(label["difficulty"]) for label in labels.values()])
    return np.array(rows), ratings, np.array([label["tune"] for label in labels.values()])


def fit(rows: np.ndarray, ratings: np.ndarray, strength: float) -> tuple[float, np.ndarray]:
    """Base and weights of a ridge regression with no weight below 0."""
    mean, spread = rows.mean(axis=0), rows.std(axis=0)
    scaled = (rows - mean) / spread
    count = rows.shape[1]
    padded = np.vstack([scaled, np.sqrt(strength) * np.eye(count)])
    aim = np.concatenate([ratings - ratings.mean(), np.zeros(count)])
    weights = nnls(padded, aim)[0] / spread
    return float(ratings.mean() - mean @ weights), weights


def folds(tunes: np.ndarray, count: int, seed: int) -> Iterator[np.ndarray]:
    """Masks of the tested part; hymns of one tune stay together."""
    names = np.unique(tunes)
    np.random.default_rng(seed).shuffle(names)
    for part in range(count):
        yield np.isin(tunes, names[part::count])


def predicted(
    rows: np.ndarray, ratings: np.ndarray, tunes: np.ndarray, strength: float, seed: int
) -> np.ndarray:
    """Ratings predicted by plain cross-validation at one strength."""
    found = np.zeros(len(ratings))
    for tested in folds(tunes, INNER_FOLDS, seed):
        base, weights = fit(rows[~tested], ratings[~tested], strength)
        found[tested] = base + rows[tested] @ weights
    return found


def best_strength(rows: np.ndarray, ratings: np.ndarray, tunes: np.ndarray, seed: int) -> float:
    """The strength that ranks best within these hymns."""

    def ranks(strength: float) -> float:
        return float(spearmanr(predicted(rows, ratings, tunes, strength, seed), ratings)[0])

    return max(STRENGTHS, key=ranks)


def nested(rows: np.ndarray, ratings: np.ndarray, tunes: np.ndarray, seed: int) -> float:
    """Spearman's rank correlation by nested cross-validation."""
    found = np.zeros(len(ratings))
    for tested in folds(tunes, FOLDS, seed):
        train = ~tested
        strength = best_strength(rows[train], ratings[train], tunes[train], seed + 1)
        base, weights = fit(rows[train], ratings[train], strength)
        found[tested] = base + rows[tested] @ weights
    return float(spearmanr(found, ratings)[0])


def main() -> None:
    rows, ratings, tunes = examples()
    for index, name in enumerate(FEATURES):
        print(f"{name:<14} alone {spearmanr(rows[:, index], ratings)[0]:.2f}")
    found = [nested(rows, ratings, tunes, seed) for seed in range(SPLITS)]
    print("nested cross-validation:", " ".join(f"{value:.3f}" for value in found))
    print(f"mean {np.mean(found):.3f} over {SPLITS} splits")
    strength = best_strength(rows, ratings, tunes, 0)
    base, weights = fit(rows, ratings, strength)
    print(f"strength {strength:g}, base {base:.3f}")
    print(", ".join(f"{n} = {w:.3f}" for n, w in zip(FEATURES, weights, strict=True)))


if __name__ == "__main__":
    main()
