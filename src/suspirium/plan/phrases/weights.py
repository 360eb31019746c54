"""The weights of the search for lines, from the table `phrases`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from suspirium.plan.phrases.metres import Metre, Metres
from suspirium.plan.phrases.music import Columns
from suspirium.plan.phrases.segment import LONGEST, Array, Scores
from suspirium.plan.phrases.spans import Spans
from suspirium.plan.phrases.style import INTERCEPT
from suspirium.plan.phrases.whole import NAMES
from suspirium.tables import Table, load

SIGNS = ("fermata", "breath")


@dataclass(frozen=True, slots=True)
class Weights:
    """What was learnt for one kind of score.

    `ends` weighs the columns of a boundary, `spans` the features of a line, `lengths` its
    units (0 to `LONGEST`), `whole` the features of a whole segmentation; `metres` knows
    usual line lengths. `signs` weighs what is printed over a note: the examples to learn
    from hide it, so it stands apart. All scores are logarithms of odds.
    """

    ends: Mapping[str, float]
    spans: Mapping[str, float]
    lengths: Array
    whole: Mapping[str, float]
    metres: Metres
    signs: Mapping[str, float]

    def scores(self, columns: Columns, spans: Spans) -> Scores:
        """The scores of all ends and lines of a melody."""
        names = [name for name in self.ends if name != INTERCEPT]
        ends = _weighed(self.ends, names, columns)
        lines = np.broadcast_to(self.lengths, next(iter(spans.values())).shape).copy()
        for name, weight in self.spans.items():
            lines += weight * spans[name]
        return Scores(
            ends + self.ends[INTERCEPT], lines, _weighed(self.signs, list(self.signs), columns)
        )

    def whole_scores(self, features: Sequence[Sequence[float]]) -> Array:
        """The score of each segmentation."""
        weights = np.array([self.whole.get(name, 0.0) for name in NAMES])
        return np.asarray(np.array(features) @ weights)


def _weighed(weights: Mapping[str, float], names: Sequence[str], columns: Columns) -> Array:
    """The columns of those names, each times its weight, together."""
    return np.asarray(
        np.array([weights[name] for name in names]) @ np.array([columns[name] for name in names])
    )


@cache
def weights(kind: str) -> Weights:
    """The weights for `kind`: "words", "notes", "melody" or "florid"."""
    table = load("phrases")
    lengths = np.array(table[f"lengths.{kind}"], dtype=np.float64)
    if len(lengths) != LONGEST + 1:
        raise ValueError(f"the table knows {len(lengths)} line lengths, not {LONGEST + 1}")
    return Weights(
        table[f"ends.{kind}"],
        table[f"spans.{kind}"],
        lengths,
        table[f"whole.{kind}"],
        _metres(table, kind),
        printed_signs(),
    )


def printed_signs() -> Mapping[str, float]:
    """What a fermata or a breath mark adds to the score of an end."""
    table = load("lines")
    return {name: table.number(f"signs.{name}") for name in SIGNS}


def style_weights() -> Mapping[str, float]:
    """What tells parts that move freely from parts that move together."""
    weights: Mapping[str, float] = load("phrases")["style"]
    return weights


def _metres(table: Table, kind: str) -> Metres:
    seen: Mapping[str, int] = table[f"seen.{kind}"]
    counts = {metre(name): count for name, count in seen.items()}
    tunes: Mapping[str, float] = table["metres"]
    return Metres(
        {lines[0]: count for lines, count in counts.items() if len(lines) == 1},
        {(lines[0], lines[1]): count for lines, count in counts.items() if len(lines) == 2},
        {metre(name): count for name, count in tunes.items()},
    )


def metre(name: str) -> Metre:
    """A metre from its written form, such as "8.6.8.6"."""
    return tuple(int(lines) for lines in name.split("."))
