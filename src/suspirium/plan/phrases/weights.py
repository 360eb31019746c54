"""The weights of the search for lines, from the table `phrases`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from suspirium.plan.phrases.metres import Metres
from suspirium.plan.phrases.music import Columns
from suspirium.plan.phrases.segment import Array
from suspirium.plan.phrases.whole import NAMES
from suspirium.tables import load

INTERCEPT = "intercept"


@dataclass(frozen=True, slots=True)
class Weights:
    """What was learnt for one kind of score ("words" or "notes").

    `ends` weighs the columns of a boundary (log-odds of an end), `whole` the features of
    a whole segmentation, `metres` knows usual line lengths.
    """

    ends: Mapping[str, float]
    whole: Array
    metres: Metres

    def end_scores(self, columns: Columns) -> Array:
        """Log-odds of an end at each boundary."""
        rows = np.array([columns[name] for name in self.ends if name != INTERCEPT])
        weights = np.array([w for name, w in self.ends.items() if name != INTERCEPT])
        return np.asarray(weights @ rows + self.ends[INTERCEPT])

    def whole_scores(self, features: Sequence[Sequence[float]]) -> Array:
        """The score of each segmentation."""
        return np.asarray(np.array(features) @ self.whole)


@cache
def weights(kind: str) -> Weights:
    """The weights for `kind`, "words" or "notes"."""
    table = load("phrases")
    whole = table[f"whole.{kind}"]
    pairs = {
        (int(first), int(second)): float(value)
        for first, row in table[f"pairs.{kind}"].items()
        for second, value in row.items()
    }
    known = frozenset(tuple(int(n) for n in metre.split(".")) for metre in table["metres"])
    return Weights(
        table[f"ends.{kind}"],
        np.array([float(whole.get(name, 0.0)) for name in NAMES]),
        Metres(tuple(table[f"lengths.{kind}"]), pairs, known),
    )
