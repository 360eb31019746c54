"""What neighbours in a service have to do with each other: keys and pulses."""

from __future__ import annotations

from dataclasses import dataclass

from suspirium.plan.model import LeadingPlan
from suspirium.score.keynames import key_words, tonic_class
from suspirium.score.model import KeyChange
from suspirium.tables import load

_ABOVE = (
    "the same tonic",
    "a semitone higher",
    "a tone higher",
    "a minor third higher",
    "a major third higher",
    "a fourth higher",
    "a tritone away",
    "a fifth higher",
    "a major third lower",
    "a minor third lower",
    "a tone lower",
    "a semitone lower",
)


@dataclass(frozen=True, slots=True)
class Relation:
    """From one hymn to the next: keys in words, and the second's pulse by the first's."""

    keys: str
    pulse_ratio: float
    pulse: str


def relation(before: LeadingPlan, after: LeadingPlan) -> Relation:
    """How the key and the pulse of a hymn stand to those of the one before it."""
    keys = _keys(before.hymn.keys[-1], after.hymn.keys[0])
    return Relation(keys, pulse_bpm(after) / pulse_bpm(before), _pulse(before, after))


def pulse_bpm(plan: LeadingPlan) -> float:
    """Pulses a minute."""
    return plan.tempo.value.quarter_bpm / float(plan.pulse.value.unit_q)


def _keys(before: KeyChange, after: KeyChange) -> str:
    names = key_words(before.fifths, before.mode), key_words(after.fifths, after.mode)
    if names[0] == names[1]:
        return f"{names[1]} again"
    up = (tonic_class(after.fifths, after.mode) - tonic_class(before.fifths, before.mode)) % 12
    said = "with the same signature" if before.fifths == after.fifths else _ABOVE[up]
    return f"{names[0]} to {names[1]}, {said}"


def _pulse(before: LeadingPlan, after: LeadingPlan) -> str:
    first, second = pulse_bpm(before), pulse_bpm(after)
    if abs(second / first - 1) <= load("service").number("pulse.same"):
        return "the same pulse"
    what = "quicker" if second > first else "slower"
    return f"a {what} pulse, {first:.0f} to {second:.0f}"
