"""Touch as played: pickups, repeated notes, legato, hands and pedal together, spread chords."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import pi, sqrt
from statistics import median

from suspirium.plan.model import LeadingPlan
from suspirium.take.expected import Way
from suspirium.take.model import TakeNote
from suspirium.take.report import TouchMeasure
from suspirium.take.told import Matched, PlayedPass
from suspirium.units import quarters_to_seconds

Silence = tuple[float, float]  # planned and played seconds


def touch_measures(
    plan: LeadingPlan, passes: Sequence[tuple[Way, PlayedPass]], notes: Sequence[TakeNote]
) -> tuple[TouchMeasure, ...]:
    """Medians over the take for each kind of touch that occurs in it."""
    melody, bass = plan.hymn.melody.name, plan.hymn.voices[-1].name
    found: dict[str, list[Silence]] = {}
    for way, played in passes:
        for kind, silence in _silences(plan, way, played, notes, melody):
            found.setdefault(kind, []).append(silence)
        if len(plan.hymn.voices) > 1:
            for late_s, spread_s in _together(played, notes, melody, bass):
                found.setdefault("bass_after_melody", []).append((0.0, late_s))
                found.setdefault("chord_spread", []).append((0.0, spread_s))
    return tuple(_measure(kind, silences) for kind, silences in found.items())


def _measure(kind: str, silences: Sequence[Silence]) -> TouchMeasure:
    played = [silence[1] for silence in silences]
    middle = median(played)
    return TouchMeasure(
        kind=kind,
        count=len(silences),
        planned_s=median(silence[0] for silence in silences),
        played_s=middle,
        spread_s=(spread_s := 1.4826 * median(abs(value - middle) for value in played)),
        error_s=sqrt(pi / 2) * spread_s / sqrt(len(played)),  # of a median, normal deviations
    )


def _silences(
    plan: LeadingPlan, way: Way, played: PlayedPass, notes: Sequence[TakeNote], melody: str
) -> Iterator[tuple[str, Silence]]:
    """Between neighbouring melody notes inside lines: (kind, silence); below 0 they overlap."""
    bpm = plan.tempo.value.quarter_bpm
    touches = {
        touch.onset_q: touch
        for touch in plan.touches
        if touch.voice in (melody, "all") and touch.kind in ("pickup", "repeat")
    }
    row = [
        (chord.index, m) for chord in played.chords for m in chord.matched if melody in m.key.voices
    ]
    for (before, one), (after, other) in pairwise(row):
        chords = way.chords[before], way.chords[after]
        gone = [c for c in way.chords[before + 1 : after] if c.key_of(melody)]
        if chords[0].phrase != chords[1].phrase or gone:
            continue
        silence_s = notes[other.note].onset_s - notes[one.note].release_s
        touch = touches.get(one.key.written_q)
        if touch is None:
            yield "legato", (0.0, silence_s)
        else:
            yield touch.kind, (quarters_to_seconds(touch.gives_up_q, bpm), silence_s)


def _together(
    played: PlayedPass, notes: Sequence[TakeNote], melody: str, bass: str
) -> Iterator[tuple[float, float]]:
    """For each chord with melody and bass: how late the bass is, how wide the chord."""
    for chord in played.chords:
        high = _voice(chord.matched, melody)
        low = _voice(chord.matched, bass)
        if high is None or low is None or high is low:
            continue
        onsets = [notes[m.note].onset_s for m in chord.matched]
        late_s = notes[low.note].onset_s - notes[high.note].onset_s
        yield late_s, max(onsets) - min(onsets)


def _voice(matched: Sequence[Matched], name: str) -> Matched | None:
    return next((m for m in matched if name in m.key.voices), None)
