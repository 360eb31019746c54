"""What follows from a plan: how long it lasts, how long people breathe, which bars bind.

The page shows these at once when the organist tries another tempo, lift or gap.
"""

from __future__ import annotations

from dataclasses import dataclass

from suspirium.plan.model import Bound, LeadingPlan
from suspirium.plan.performance import perform
from suspirium.units import quarters_to_seconds


@dataclass(frozen=True, slots=True)
class BreathTime:
    """Seconds of silence at the end of line `line` in those `stanzas` that lift there."""

    line: int
    stanzas: tuple[int, ...]
    silence_s: float


@dataclass(frozen=True, slots=True)
class Consequences:
    """`crossed` are the bounds that the tempo lies beyond; `nearest` the next above and below."""

    duration_s: float
    stanza_s: float
    gap_s: float
    breaths: tuple[BreathTime, ...]
    crossed: tuple[Bound, ...]
    nearest: tuple[Bound, ...]


def consequences(plan: LeadingPlan) -> Consequences:
    """The consequences of every decision in `plan`."""
    performance = perform(plan)
    starts = performance.stanza_starts_s
    bpm = plan.tempo.value.quarter_bpm
    bounds = plan.tempo.value.bounds
    above = [bound for bound in bounds if bound.side == "high" and bound.quarter_bpm >= bpm]
    below = [bound for bound in bounds if bound.side == "low" and bound.quarter_bpm <= bpm]
    nearest = [min(above, key=_bpm)] if above else []
    nearest += [max(below, key=_bpm)] if below else []
    return Consequences(
        duration_s=performance.duration_s,
        stanza_s=starts[1] - starts[0] if len(starts) > 1 else performance.duration_s,
        gap_s=plan.gap.value.silence_s,
        breaths=tuple(
            BreathTime(
                phrase.number,
                lifting,
                quarters_to_seconds(phrase.lift_q + phrase.rest_q + phrase.stretch_q, bpm),
            )
            for phrase in plan.phrases[:-1]
            if (lifting := tuple(n for n in plan.stanza_numbers if phrase.breath(n) != "carry"))
        ),
        crossed=tuple(bound for bound in bounds if _crossed(bound, bpm)),
        nearest=tuple(nearest),
    )


def _bpm(bound: Bound) -> float:
    return bound.quarter_bpm


def _crossed(bound: Bound, quarter_bpm: float) -> bool:
    if bound.side == "high":
        return quarter_bpm > bound.quarter_bpm
    return quarter_bpm < bound.quarter_bpm
