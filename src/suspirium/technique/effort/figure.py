"""One figure for the hymn, from 1 (easy) to 5 (hard)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import log1p

from suspirium.score.model import Hymn
from suspirium.tables import load
from suspirium.technique.effort.demand import COMPONENTS, Demand

FEATURES = ("hands", "pedal", "independence", "chromaticism", "length")


def components(hymn: Hymn, found: Sequence[Demand]) -> dict[str, float]:
    """Points by component over the whole hymn; the length is its number of onsets."""
    points: dict[str, float] = dict.fromkeys(COMPONENTS, 0.0)
    for demand in found:
        points[demand.component] += demand.points
    onsets = {n.onset_q for voice in hymn.voices for n in voice.notes if n.pitches}
    return {**points, "length": float(len(onsets))}


def features(parts: Mapping[str, float]) -> dict[str, float]:
    """What the figure is made from: logarithms of 1 + points, both hands taken together."""
    hands = parts["right"] + parts["left"]
    return {name: log1p(hands if name == "hands" else parts[name]) for name in FEATURES}


def figure(parts: Mapping[str, float]) -> float:
    """The hymn's effort from 1 to 5."""
    table = load("effort")
    weights = table["figure.weights"]
    raw: float = sum(weights[name] * value for name, value in features(parts).items())
    return min(5.0, max(1.0, table.number("figure.base") + raw))
