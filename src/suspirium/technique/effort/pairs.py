"""Two players at once: each hand with the other, and each hand with the pedal."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction

from suspirium.tables import load
from suspirium.technique.effort.demand import Demand
from suspirium.technique.model import PAIRS, Pair, PlayedNote, Plays

ByPair = Mapping[Pair, float]


def pair_demand(found: Sequence[Demand], moving: Mapping[Fraction, set[Plays]]) -> ByPair:
    """Points of every pair that plays: what is asked of both, and what of them together.

    Together counts every onset at which one of the two moves and the other does not, as much
    as the independence of voices (``tables/effort.toml``). `found` and `moving` (from
    `moves`) are those of one stretch of the score.
    """
    point = load("effort").number("independence.onset")
    alone: dict[str, float] = defaultdict(float)
    for demand in found:
        alone[demand.component] += demand.points
    playing = set().union(*moving.values())
    return {
        pair: alone[pair[0]]
        + alone[pair[1]]
        + point * sum(len(who & set(pair)) == 1 for who in moving.values())
        for pair in PAIRS
        if set(pair) <= playing
    }


def moves(notes: Sequence[PlayedNote]) -> Mapping[Fraction, set[Plays]]:
    """Who strikes a key at each onset of the written score."""
    found: dict[Fraction, set[Plays]] = defaultdict(set)
    for note in notes:
        found[note.written_q].add(note.plays)
    return found
