"""Learning to tell hymns whose parts move together from chorales whose parts move freely."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import minimize

from suspirium.plan.phrases.segment import Array
from suspirium.plan.phrases.style import INTERCEPT

SPREAD = 2.0  # variance a priori of the standardised weights


def learn_style(
    hymns: Sequence[dict[str, float]], chorales: Sequence[dict[str, float]]
) -> dict[str, float]:
    """Weights of a logistic regression, both kinds counting the same in all."""
    names = list(hymns[0])
    rows = np.array([[found[name] for name in names] for found in (*hymns, *chorales)])
    mean, scale = rows.mean(0), rows.std(0)
    scaled = np.column_stack([(rows - mean) / scale, np.ones(len(rows))])
    sign = np.repeat([-1.0, 1.0], [len(hymns), len(chorales)])
    count = np.repeat([len(chorales) / len(hymns), 1.0], [len(hymns), len(chorales)])
    penalty = np.append(np.full(len(names), 1 / SPREAD), 0.0)

    def loss(at: Array) -> tuple[float, Array]:
        margin = sign * (scaled @ at)
        value = count @ np.logaddexp(0, -margin) + penalty @ at**2 / 2
        slope = -scaled.T @ (count * sign / (1 + np.exp(margin))) + penalty * at
        return float(value), slope

    best = minimize(loss, np.zeros(scaled.shape[1]), jac=True, method="L-BFGS-B").x
    weights = best[:-1] / scale
    learnt = dict(zip(names, weights.tolist(), strict=True))
    return learnt | {INTERCEPT: float(best[-1] - mean @ weights)}
