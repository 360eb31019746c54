"""Effort of a hymn: measure by measure, on the whole, and in words."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import repeat

from suspirium.plan.model import LeadingPlan
from suspirium.score.model import Measure
from suspirium.tables import load
from suspirium.technique.effort.demand import COMPONENTS, Demand, demands
from suspirium.technique.effort.figure import components, figure
from suspirium.technique.effort.pairs import ByPair, moves, pair_demand
from suspirium.technique.effort.passages import hard_passages
from suspirium.technique.model import Effort, MeasureEffort, PlayedNote, Plays
from suspirium.units import quarters_to_seconds

_NAMES = {
    "right": "the right hand",
    "left": "the left hand",
    "pedal": "the pedal",
    "independence": "voices moving one without another",
    "chromaticism": "notes outside the key",
}


def effort_of(plan: LeadingPlan, notes: Sequence[PlayedNote]) -> Effort:
    """The effort of `notes`, each place of the written score counted once."""
    found = demands(plan.hymn, notes)
    parts = components(plan.hymn, found)
    moving = moves(notes)
    measures = _measures(plan, found, moving)
    value = figure(parts)
    pairs = pair_demand(found, moving)
    return Effort(
        hymn=value,
        components=parts,
        pairs=pairs,
        measures=measures,
        passages=hard_passages(measures, found),
        words=_words(value, parts, pairs),
    )


def _measures(
    plan: LeadingPlan, found: Sequence[Demand], moving: Mapping[Fraction, set[Plays]]
) -> tuple[MeasureEffort, ...]:
    measures = plan.hymn.measures
    onsets = [measure.onset_q for measure in measures]
    asked: list[list[Demand]] = [[] for _ in measures]
    for demand in found:
        asked[bisect_right(onsets, demand.written_q) - 1].append(demand)
    moved: list[dict[Fraction, set[Plays]]] = [{} for _ in measures]
    for onset_q, who in moving.items():
        moved[bisect_right(onsets, onset_q) - 1][onset_q] = who
    bpm = plan.tempo.value.quarter_bpm
    return tuple(map(_measure, measures, asked, moved, repeat(bpm)))


def _measure(
    measure: Measure, found: Sequence[Demand], moving: Mapping[Fraction, set[Plays]], bpm: float
) -> MeasureEffort:
    parts: dict[str, float] = dict.fromkeys(COMPONENTS, 0.0)
    for one in found:
        parts[one.component] += one.points
    seconds = quarters_to_seconds(measure.end_q - measure.onset_q, bpm)
    demand = sum(parts.values())
    return MeasureEffort(
        measure=measure.number,
        onset_q=measure.onset_q,
        end_q=measure.end_q,
        seconds=seconds,
        demand=demand,
        per_second=demand / seconds if seconds else 0.0,
        components=parts,
        pairs=pair_demand(found, moving),
    )


def _words(value: float, parts: Mapping[str, float], pairs: ByPair) -> str:
    """How hard, what asks the most, and which two together."""
    name = load("effort")["figure.words"][round(value) - 1]
    dearest = max(_NAMES, key=lambda part: parts[part])
    said = f"This hymn is {name} to play; most is asked by {_NAMES[dearest]}"
    if len(pairs) < 2:
        return f"{said}."
    one, other = max(pairs, key=lambda pair: pairs[pair])
    return f"{said}, and of two together by {_NAMES[one]} with {_NAMES[other]}."
