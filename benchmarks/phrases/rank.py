"""Learning to rank whole segmentations by their features."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import minimize

from suspirium.plan.phrases.segment import Array

SPREAD = 0.0008  # variance a priori of the standardised weights, for each melody learnt from
SHARPNESS = 200.0  # how much likelier a segmentation is taken to be for its F1

Ranking = tuple[Array, Array]  # features (candidates, features) and F1 of each candidate


def learn_ranking(rankings: Sequence[Ranking], free: int) -> Array:
    """Weights under which the candidate with the best F1 is the likeliest of its melody.

    The weight of feature `free` is not held near 0: it scales the likelihood that the
    field itself gives.
    """
    spread = np.sqrt(np.mean([features.var(0) for features, _ in rankings], 0)) + 1e-4
    scaled = np.vstack([(features - features[0]) / spread for features, _ in rankings])
    targets = [np.exp(SHARPNESS * (f1s - f1s.max())) for _, f1s in rankings]
    target = np.concatenate([t / t.sum() for t in targets])
    sizes = [len(f1s) for _, f1s in rankings]
    begins = np.cumsum([0, *sizes[:-1]])
    penalty = np.full(scaled.shape[1], 1 / (SPREAD * len(rankings)))
    penalty[free] = 0.0

    def loss(at: Array) -> tuple[float, Array]:
        score = scaled @ at
        score = score - np.repeat(np.maximum.reduceat(score, begins), sizes)
        power = np.exp(score)
        total = np.add.reduceat(power, begins)
        value = np.log(total).sum() - target @ score + penalty @ at**2 / 2
        slope = scaled.T @ (power / np.repeat(total, sizes) - target) + penalty * at
        return float(value), slope

    best = minimize(
        loss, np.zeros(scaled.shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 500}
    ).x
    return np.asarray(best / spread)
