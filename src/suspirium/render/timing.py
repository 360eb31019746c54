"""When every note of the engraved score sounds, for pages that light the notes.

Times are seconds from the beginning of the recording (`suspirium.render.sound`).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
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
    drawn = {voice.name: _drawn(index, voice) for index, voice in enumerate(plan.hymn.voices)}
    return {
        "duration_s": round(performance.duration_s + LEAD_S, 3),
        "notes": [list(one) for press in performance.keys for one in _lit(drawn, press)],
        "measures": [list(one) for one in _measures(plan, performance, quarter_bpm)],
        "stanzas": [
            [number, _s(start)]
            for number, start in zip(plan.stanza_numbers, performance.stanza_starts_s, strict=True)
        ],
        "pulses": [_s(at_s) for at_s in performance.pulses_s],
    }


def _s(seconds: float) -> float:
    return round(seconds + LEAD_S, 3)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A written note as it is drawn: its id in the engraving."""

    onset_q: Fraction
    midis: frozenset[int]
    name: str


def _drawn(number: int, voice: Voice) -> tuple[_Drawn, ...]:
    return tuple(
        _Drawn(note.onset_q, frozenset(p.midi for p in note.pitches), f"n{number}-{i}")
        for i, note in enumerate(voice.notes)
        if note.pitches
    )


def _lit(
    drawn: dict[str, tuple[_Drawn, ...]], press: KeyPress
) -> Iterator[tuple[float, float, list[str]]]:
    """The notes on the page that one key sounds: held common tones and ties are lit in turn."""
    length_q = press.release_q - press.onset_q
    a_quarter_s = (press.release_s - press.onset_s) / float(length_q) if length_q else 0.0
    for voice in press.voices:
        starts = [
            (press.onset_s + a_quarter_s * float(note.onset_q - press.written_q), note.name)
            for note in _sounded(drawn[voice], press, length_q)
        ]
        ends = [*(at_s for at_s, _ in starts[1:]), press.release_s]
        for (from_s, name), to_s in zip(starts, ends, strict=False):
            yield _s(from_s), _s(to_s), [name]


def _sounded(notes: tuple[_Drawn, ...], press: KeyPress, length_q: Fraction) -> Iterator[_Drawn]:
    """The notes of a voice with this key's pitch that begin while it is down."""
    first = bisect_left(notes, press.written_q, key=lambda note: note.onset_q)
    for note in notes[first:]:
        after_q = note.onset_q - press.written_q
        if after_q and after_q >= length_q:
            return
        if press.midi in note.midis:
            yield note


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
