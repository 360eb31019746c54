"""Effort against the ratings of a published source, on hymns that it was not fitted to.

Source: Open Hymnal Project, 2013 edition (public repository mzealey/openhymnal, commit
d35811b), its own ratings from 1 to 5; skipped where the folder is absent. The five weights
are fitted anew in every fold of a nested cross-validation by tune
(``benchmarks/technique/effort.py``, whose mean over five splits is printed by it).
"""

from __future__ import annotations

import importlib.util
from types import ModuleType

import numpy as np
import pytest

from suspirium.technique.effort.figure import FEATURES
from tests.conftest import HYMNS, ROOT

LEAST = 0.55


def benchmark() -> ModuleType:
    spec = importlib.util.spec_from_file_location(
        "effort_benchmark", ROOT / "benchmarks" / "technique" / "effort.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.skipif(not HYMNS.is_dir(), reason="the folder of real hymns is absent")
def test_effort_ranks_hymns_as_the_source_does() -> None:
    effort = benchmark()
    rows, ratings, tunes = effort.examples(HYMNS)
    assert rows.shape == (len(ratings), len(FEATURES))
    found = [effort.nested(rows, ratings, tunes, seed) for seed in range(effort.SPLITS)]
    assert np.mean(found) >= LEAST
    shuffled = np.random.default_rng(1).permutation(ratings)
    assert effort.nested(rows, shuffled, tunes, 0) < 0.3  # nothing leaks from the tested part
