"""The recording of a task: a passage, its part at its tempo, counted in and repeated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import KeyPress, Performance, perform
from suspirium.practice.model import Part
from suspirium.render.sound import record
from suspirium.tables import load
from suspirium.technique.model import Plays, Technique
from suspirium.units import quarters_to_seconds


@dataclass(frozen=True, slots=True)
class Loops:
    """A passage played several times: the part itself, and the keys of the others."""

    own: Performance
    others: tuple[KeyPress, ...]


def passage_loops(
    plan: LeadingPlan,
    technique: Technique,
    span_q: tuple[Fraction, Fraction],
    part: Part,
    quarter_bpm: float,
    times: int,
) -> Loops:
    """The passage `times` over: a bar is counted in before the first, and each begins with
    the breath before its first note, a whole number of pulses after the one before."""
    stanza = plan.stanza_numbers[0]
    whole = perform(plan, stanzas=(stanza,), quarter_bpm=quarter_bpm)
    inside = [key for key in whole.keys if span_q[0] <= key.written_q < span_q[1]]
    inside = _first_pass(inside)
    if not inside:
        return Loops(Performance((), (), (0.0,), 0.0), ())
    pulse_s = quarters_to_seconds(plan.pulse.value.unit_q, quarter_bpm)
    start_s = min(key.onset_s for key in inside)
    end_s = max(key.release_s for key in inside)
    first_pulse_s = min((p for p in whole.pulses_s if p >= start_s - 1e-6), default=start_s)
    counted = _counted(plan)
    # The pulse goes on evenly, through the lifts and the way back to the beginning.
    before = counted + ceil((first_pulse_s - start_s) / pulse_s - 1e-6)
    zero_s = first_pulse_s - before * pulse_s
    breath_s = _breath_s(plan, span_q[0], quarter_bpm)
    round_s = ceil((end_s - start_s + breath_s) / pulse_s - 1e-6) * pulse_s
    hands = {(note.written_q, note.midi_pitch): note.plays for note in technique.notes}
    own: list[KeyPress] = []
    others: list[KeyPress] = []
    for number in range(times):
        shift_s = number * round_s - zero_s
        for key in inside:
            moved = replace(key, onset_s=key.onset_s + shift_s, release_s=key.release_s + shift_s)
            (own if _plays(plan, hands, key, part) else others).append(moved)
    duration_s = times * round_s + start_s - zero_s
    pulses = tuple(n * pulse_s for n in range(int(duration_s / pulse_s + 1e-6) + 1))
    return Loops(Performance(tuple(own), pulses, (0.0,), duration_s), tuple(others))


def _first_pass(keys: Sequence[KeyPress]) -> list[KeyPress]:
    """Without the repeats of the written score: up to where the first place comes again."""
    found: list[KeyPress] = []
    seen: set[tuple[Fraction, int, str]] = set()
    for key in keys:
        place = key.written_q, key.midi, key.division
        if place not in seen:
            seen.add(place)
            found.append(key)
    return found


def _counted(plan: LeadingPlan) -> int:
    per_bar = plan.pulse.value.per_bar
    if per_bar is None or per_bar.denominator != 1:
        return int(load("practice")["sound.count_pulses"])
    return max(2, int(per_bar))


def _breath_s(plan: LeadingPlan, start_q: Fraction, quarter_bpm: float) -> float:
    """The breath before the passage: the lift of the line before, or the pulse's own length."""
    before = [phrase for phrase in plan.phrases if phrase.end_q <= start_q]
    breath_q = before[-1].lift_q + before[-1].rest_q if before else plan.pulse.value.unit_q
    return quarters_to_seconds(breath_q, quarter_bpm)


def _plays(
    plan: LeadingPlan,
    hands: dict[tuple[Fraction, int], Plays],
    key: KeyPress,
    part: Part,
) -> bool:
    if part == ("tune",):
        return plan.hymn.melody.name in key.voices
    usual: Plays = "pedal" if key.division == "pedal" else "right"
    return hands.get((key.written_q, key.midi), usual) in part


def task_sound(plan: LeadingPlan, loops: Loops, *, ticks: bool, others: bool) -> bytes:
    """The recording as Ogg Vorbis, the other parts softly behind if wanted."""
    return record(
        loops.own,
        plan.room,
        ("ogg",),
        ticks=ticks,
        behind=loops.others if others else (),
        behind_db=load("practice").number("sound.behind_db"),
    )["ogg"]
