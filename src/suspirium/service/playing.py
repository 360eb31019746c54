"""A hymn as it is played in a service: introduction, stanzas sung, amen; and how long all takes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from suspirium.plan.keys import is_pedal
from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import KeyPress, Performance, perform
from suspirium.score.pitch import Pitch
from suspirium.service.amen import Amen
from suspirium.service.introductions import Introduction
from suspirium.service.opening import Opening, opening_of
from suspirium.tables import load
from suspirium.units import quarters_to_seconds

INTRODUCTION = 0
AMEN = -1


@dataclass(frozen=True, slots=True)
class Part:
    """One part of what is played; seconds from the first note of all."""

    name: str
    start_s: float
    end_s: float

    @property
    def seconds(self) -> float:
        return self.end_s - self.start_s


@dataclass(frozen=True, slots=True)
class Played:
    """The performance, whose keys of stanza `INTRODUCTION` and `AMEN` are those parts, and the
    parts in order; between two of them lies a gap."""

    performance: Performance
    parts: tuple[Part, ...]

    @property
    def seconds(self) -> float:
        """From the first note until the last is let go."""
        return self.parts[-1].end_s

    @property
    def gaps_s(self) -> tuple[float, ...]:
        """The silences between the parts."""
        pairs = zip(self.parts, self.parts[1:], strict=False)
        return tuple(after.start_s - before.end_s for before, after in pairs)


def play(
    plan: LeadingPlan,
    stanzas: Sequence[int],
    introduction: Introduction | None,
    amen: Amen | None,
) -> Played:
    """The whole hymn: introduction and amen if there are any, the stanzas in the given order."""
    opening = opening_of(plan, introduction) if introduction else None
    hymn = perform(plan, stanzas=stanzas)
    before_s = _seconds(plan, opening.length_q) if opening else 0.0
    keys = [_later(key, before_s) for key in hymn.keys]
    pulses = [before_s + at_s for at_s in hymn.pulses_s]
    parts = list(_stanza_parts(hymn, stanzas, before_s))
    if opening:
        keys = [*_opening_keys(plan, opening), *keys]
        pulses = [*(_seconds(plan, q) for q in opening.pulses_q), *pulses]
        parts.insert(0, Part("introduction", 0.0, _seconds(plan, opening.sounding_q)))
    if amen:
        start_s = _amen_start_s(plan, parts[-1].end_s, pulses)
        amen_keys = sorted(_amen_keys(plan, amen, start_s), key=lambda k: (k.onset_s, k.midi))
        keys += amen_keys
        parts.append(Part("amen", start_s, max(key.release_s for key in amen_keys)))
    starts = tuple(before_s + at_s for at_s in hymn.stanza_starts_s)
    whole = Performance(tuple(keys), tuple(pulses), starts, parts[-1].end_s)
    return Played(whole, tuple(parts))


def _seconds(plan: LeadingPlan, length_q: Fraction) -> float:
    return quarters_to_seconds(length_q, plan.tempo.value.quarter_bpm)


def _later(key: KeyPress, by_s: float) -> KeyPress:
    return replace(key, onset_s=key.onset_s + by_s, release_s=key.release_s + by_s)


def _stanza_parts(hymn: Performance, stanzas: Sequence[int], before_s: float) -> Iterator[Part]:
    """Stanzas one by one; one that is sung twice is told by its start."""
    starts = hymn.stanza_starts_s
    for place, (number, start_s) in enumerate(zip(stanzas, starts, strict=True)):
        until_s = starts[place + 1] if place + 1 < len(starts) else float("inf")
        end_s = max(k.release_s for k in hymn.keys if start_s <= k.onset_s < until_s)
        yield Part(f"stanza {number}", before_s + start_s, before_s + end_s)


def _opening_keys(plan: LeadingPlan, opening: Opening) -> Iterator[KeyPress]:
    for struck in opening.keys:
        yield KeyPress(
            stanza=INTRODUCTION,
            midi=struck.midi,
            division=_division(plan, struck.voices),
            voices=struck.voices,
            written_q=struck.written_q,
            onset_q=struck.onset_q,
            release_q=struck.release_q,
            onset_s=_seconds(plan, struck.onset_q),
            release_s=_seconds(plan, struck.release_q),
        )


def _division(plan: LeadingPlan, voices: Sequence[str]) -> str:
    return "pedal" if any(is_pedal(plan, voice) for voice in voices) else "manual"


def _amen_start_s(plan: LeadingPlan, end_s: float, pulses: Sequence[float]) -> float:
    """The first pulse after as much silence as between stanzas."""
    pulse_s = _seconds(plan, plan.pulse.value.unit_q)
    earliest_s = end_s + plan.gap.value.silence_s
    at_s = pulses[-1] if pulses else end_s
    while at_s < earliest_s - 1e-9:
        at_s += pulse_s
    return at_s


def _amen_keys(plan: LeadingPlan, amen: Amen, start_s: float) -> Iterator[KeyPress]:
    table = load("service")
    unit_q = plan.pulse.value.unit_q
    middle_q = int(table["amen.pulses"]) * unit_q
    end_q = middle_q + int(table["amen.last_pulses"]) * unit_q
    first, last = _keys_of(plan, amen, amen.subdominant), _keys_of(plan, amen, amen.tonic)
    for key in first.keys() | last.keys():  # a common tone is held on
        from_q = Fraction(0) if key in first else middle_q
        to_q = end_q if key in last else middle_q
        yield KeyPress(
            stanza=AMEN,
            midi=key[1],
            division=key[0],
            voices=first.get(key) or last[key],
            written_q=plan.hymn.end_q + from_q,
            onset_q=from_q,
            release_q=to_q,
            onset_s=start_s + _seconds(plan, from_q),
            release_s=start_s + _seconds(plan, to_q),
        )


def _keys_of(
    plan: LeadingPlan, amen: Amen, chord: Sequence[Pitch]
) -> dict[tuple[str, int], tuple[str, ...]]:
    found: dict[tuple[str, int], tuple[str, ...]] = {}
    for voice, pitch in zip(amen.voices, chord, strict=True):
        key = _division(plan, [voice]), pitch.midi
        found[key] = (*found.get(key, ()), voice)
    return found
