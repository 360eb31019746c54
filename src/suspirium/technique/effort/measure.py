"""Effort of a hymn: measure by measure, on the whole, and in words."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from fractions import Fraction

from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.technique.effort.demand import COMPONENTS, Demand, demands
from suspirium.technique.effort.figure import components, figure
from suspirium.technique.effort.passages import hard_passages
from suspirium.technique.model import Effort, MeasureEffort, PlayedNote
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
    measures = _measures(plan, found)
    value = figure(parts)
    return Effort(
        hymn=value,
        components=parts,
        measures=measures,
        passages=hard_passages(measures, found),
        words=_words(value, parts),
    )


def _measures(plan: LeadingPlan, found: Sequence[Demand]) -> tuple[MeasureEffort, ...]:
    measures = plan.hymn.measures
    onsets = [measure.onset_q for measure in measures]
    inside: list[dict[str, float]] = [dict.fromkeys(COMPONENTS, 0.0) for _ in measures]
    for demand in found:
        index = bisect_right(onsets, demand.written_q) - 1
        inside[index][demand.component] += demand.points
    bpm = plan.tempo.value.quarter_bpm
    return tuple(
        _measure(measure.number, measure.onset_q, measure.end_q, bpm, parts)
        for measure, parts in zip(measures, inside, strict=True)
    )


def _measure(
    number: int, onset_q: Fraction, end_q: Fraction, bpm: float, parts: Mapping[str, float]
) -> MeasureEffort:
    seconds = quarters_to_seconds(end_q - onset_q, bpm)
    demand = sum(parts.values())
    return MeasureEffort(
        measure=number,
        onset_q=onset_q,
        end_q=end_q,
        seconds=seconds,
        demand=demand,
        per_second=demand / seconds if seconds else 0.0,
        components=parts,
    )


def _words(value: float, parts: Mapping[str, float]) -> str:
    """How hard, and what asks the most."""
    name = load("effort")["figure.words"][round(value) - 1]
    dearest = max(_NAMES, key=lambda part: parts[part])
    return f"This hymn is {name} to play; most is asked by {_NAMES[dearest]}."
