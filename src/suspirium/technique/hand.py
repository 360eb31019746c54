"""The player's hand: how far its fingers reach."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import Literal

from suspirium.errors import OverrideError
from suspirium.tables import load

FINGERS = (1, 2, 3, 4, 5)
Side = Literal["left", "right"]
Level = Literal["fluent", "beginner"]


@dataclass(frozen=True, slots=True)
class Hand:
    """A hand by its span in cm, from the tip of the thumb to the tip of the fifth finger."""

    span_cm: float

    @property
    def scale(self) -> float:
        """How far it reaches, as a share of the hand that the published spans hold for."""
        table = load("hands")
        edge_cm = table.number("span.edge_mm") / 10
        return (self.span_cm - edge_cm) / (table.number("span.reference_cm") - edge_cm)


@dataclass(frozen=True, slots=True)
class Reach:
    """Spans between two fingers in semitones' widths (Parncutt and others 1997, Table 1)."""

    min_prac: float
    min_comf: float
    min_rel: float
    max_rel: float
    max_comf: float
    max_prac: float


def preset(name: str) -> Hand:
    """A hand of the table: "small", "medium" or "large"; raises `OverrideError`."""
    presets = load("hands")["span.preset_cm"]
    if name not in presets:
        known = ", ".join(presets)
        raise OverrideError(f"there is no hand {name!r}; choose {known}, or give a span in cm")
    return Hand(float(presets[name]))


def measured(span_cm: float) -> Hand:
    """The hand of a measured span; raises `OverrideError` for one that no hand has."""
    table = load("hands")
    least, most = table.number("span.least_cm"), table.number("span.most_cm")
    if not least <= span_cm <= most:
        raise OverrideError(
            f"a hand span of {span_cm:g} cm can't be right: measure from the thumb's tip to the "
            f"little finger's, {least:g} to {most:g} cm"
        )
    return Hand(span_cm)


@cache
def published_reach() -> dict[tuple[int, int], Reach]:
    """The published spans by finger pair, the lower finger first."""
    table = load("fingering")
    return {(a, b): Reach(*table[f"span.{a}-{b}"]) for a, b in combinations(FINGERS, 2)}


def reach_of(hand: Hand) -> dict[tuple[int, int], Reach]:
    """The hand's own spans: how far it opens scales with it, how narrow it closes doesn't."""
    return {pair: _scaled(reach, hand.scale) for pair, reach in published_reach().items()}


def _scaled(reach: Reach, scale: float) -> Reach:
    def opened(value: float) -> float:
        return value * scale

    def crossed(value: float) -> float:
        return value * scale if value < 0 else value

    return Reach(
        crossed(reach.min_prac),
        crossed(reach.min_comf),
        min(reach.min_rel, opened(reach.min_rel)),
        opened(reach.max_rel),
        opened(reach.max_comf),
        opened(reach.max_prac),
    )
