"""When every note of the engraved score sounds, for pages that light the notes.

Times are seconds from the beginning of the recording (`suspirium.render.sound`).
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from suspirium.plan.clock import stanza_clock
from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import KeyPress, Performance
from suspirium.render.sound import LEAD_S
from suspirium.score.model import Voice


def timing_values(
    plan: LeadingPlan, performance: Performance, quarter_bpm: float | None = None
) -> dict[str, Any]:
    """Notes, measures, stanzas and pulses of a performance of all stanzas.

    ``notes`` are [from, to, ids] with the ids that the engraving gives its notes;
    ``measures`` are [seconds, stanza, measure, onset in quarters] in order of time.
    """
    ids = {voice.name: _ids(index, voice) for index, voice in enumerate(plan.hymn.voices)}
    return {
        "duration_s": round(performance.duration_s + LEAD_S, 3),
        "notes": [
            [_s(press.onset_s), _s(press.release_s), list(_lit(ids, press))]
            for press in performance.keys
        ],
        "measures": [list(one) for one in _measures(plan, performance, quarter_bpm)],
        "stanzas": [
            [number, _s(start)]
            for number, start in zip(plan.stanza_numbers, performance.stanza_starts_s, strict=True)
        ],
        "pulses": [_s(at_s) for at_s in performance.pulses_s],
    }


def _s(seconds: float) -> float:
    return round(seconds + LEAD_S, 3)


def _ids(number: int, voice: Voice) -> dict[Fraction, tuple[str, ...]]:
    """By the onset of each note: its id, and those of the notes it is tied to."""
    found: dict[Fraction, tuple[str, ...]] = {}
    onset_q: Fraction | None = None
    for index, note in enumerate(voice.notes):
        if onset_q is None:
            onset_q = note.onset_q
        found[onset_q] = (*found.get(onset_q, ()), f"n{number}-{index}")
        if not note.tied:
            onset_q = None
    return found


def _lit(ids: dict[str, dict[Fraction, tuple[str, ...]]], press: KeyPress) -> Iterator[str]:
    for voice in press.voices:
        yield from ids[voice].get(press.written_q, ())


def _measures(
    plan: LeadingPlan, performance: Performance, quarter_bpm: float | None
) -> Iterator[tuple[float, int, int, float]]:
    numbers = plan.stanza_numbers
    for number, start_s in zip(numbers, performance.stanza_starts_s, strict=True):
        clock = stanza_clock(plan, number, last=number == numbers[-1], quarter_bpm=quarter_bpm)
        for shift in clock.shifts:
            for measure in plan.hymn.measures:
                if shift.start_q <= measure.onset_q < shift.end_q and not measure.continues:
                    at_s = start_s + clock.seconds(measure.onset_q + shift.by_q)
                    yield _s(at_s), number, measure.number, float(measure.onset_q)
