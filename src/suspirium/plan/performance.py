"""The performed score: when every key goes down and comes up, in every stanza."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from suspirium.plan.clock import StanzaClock, stanza_clock
from suspirium.plan.keys import Struck, is_pedal, stanza_keys
from suspirium.plan.model import LeadingPlan
from suspirium.units import quarters_to_seconds


@dataclass(frozen=True, slots=True)
class KeyPress:
    """One key, from going down to coming up.

    `onset_q` and `release_q` are played quarters from the stanza's first note,
    `onset_s` and `release_s` seconds from the first stanza's first note; `written_q` is
    the place in the score. `division` is "manual" or "pedal".
    """

    stanza: int
    midi: int
    division: str
    voices: tuple[str, ...]
    written_q: Fraction
    onset_q: Fraction
    release_q: Fraction
    onset_s: float
    release_s: float


@dataclass(frozen=True, slots=True)
class Performance:
    """Everything played: keys in order of onset, pulses and stanza starts in seconds."""

    keys: tuple[KeyPress, ...]
    pulses_s: tuple[float, ...]
    stanza_starts_s: tuple[float, ...]
    duration_s: float


def perform(
    plan: LeadingPlan,
    *,
    voices: Sequence[str] | None = None,
    stanzas: Sequence[int] | None = None,
    quarter_bpm: float | None = None,
) -> Performance:
    """The performed score of `plan`: all stanzas, or the given stanzas, voices and tempo.

    Another tempo keeps every proportion of the plan, as slow practice does.
    """
    numbers = tuple(stanzas or plan.stanza_numbers)
    keys: list[KeyPress] = []
    pulses: list[float] = []
    starts: list[float] = []
    start_s = 0.0
    for index, number in enumerate(numbers):
        last = index == len(numbers) - 1
        clock = stanza_clock(plan, number, last=last, quarter_bpm=quarter_bpm)
        starts.append(start_s)
        keys.extend(_press(plan, clock, start_s, key) for key in stanza_keys(plan, clock, voices))
        pulses.extend(start_s + at_s for at_s in _pulses_s(plan, clock))
        start_s += _period_s(plan, clock)
    keys.sort(key=lambda press: (press.onset_s, press.midi, press.division))
    duration_s = max((press.release_s for press in keys), default=0.0)
    return Performance(tuple(keys), tuple(pulses), tuple(starts), duration_s)


def _press(plan: LeadingPlan, clock: StanzaClock, start_s: float, key: Struck) -> KeyPress:
    return KeyPress(
        stanza=clock.stanza,
        midi=key.midi,
        division="pedal" if any(is_pedal(plan, voice) for voice in key.voices) else "manual",
        voices=key.voices,
        written_q=key.written_q,
        onset_q=key.onset_q,
        release_q=key.release_q,
        onset_s=start_s + clock.seconds(key.onset_q),
        release_s=start_s + clock.seconds(key.release_q),
    )


def _period_s(plan: LeadingPlan, clock: StanzaClock) -> float:
    """Seconds from this stanza's first note to the next one's."""
    gap_q = plan.gap.value.onset_to_onset_q
    return clock.seconds(clock.last_onset_q) + quarters_to_seconds(gap_q, clock.quarter_bpm)


def _pulses_s(plan: LeadingPlan, clock: StanzaClock) -> list[float]:
    """Seconds of every pulse, the gap's included, aligned with the first downbeat."""
    unit_q = plan.pulse.value.unit_q
    after_q = plan.ending.value.hold_q if clock.last else plan.gap.value.onset_to_onset_q
    end_q = clock.last_onset_q + after_q
    at_q = plan.hymn.pickup_q % unit_q
    found: list[float] = []
    while at_q < end_q:
        found.append(clock.seconds(at_q))
        at_q += unit_q
    return found
