"""The times through a hymn as heard, every chord's onset refined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan

from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.take.expected import Way, as_planned
from suspirium.take.pace import Beat, broadened_q
from suspirium.take.passes import Pass, Passes, passes
from suspirium.take.path import Chords, Path, Step
from suspirium.take.sound.bands import FRAME_S, Floats
from suspirium.take.sound.follow import Segment
from suspirium.take.sound.hear import Heard
from suspirium.take.sound.onsets import Onset, onset
from suspirium.take.sound.templates import sounding
from suspirium.take.structure import Planned, Stretch, Times, pieces
from suspirium.take.times import Pace


@dataclass(frozen=True, slots=True)
class HeardPass:
    """One time through as heard: its number (0 the introduction), chords with the standard
    errors of their onsets (seconds), begun-again ones."""

    number: int
    way: Way
    row: tuple[Beat, ...]
    errors_s: tuple[float, ...]
    restarts: tuple[tuple[int, int], ...]

    @property
    def restarted(self) -> tuple[int, ...]:
        """The chords at which the player began again."""
        return tuple(again for _, again in self.restarts)

    def onset_s(self, chord: int) -> float | None:
        """When a chord was heard; None if it was not."""
        return next((beat.onset_s for beat in self.row if beat.chord == chord), None)

    def onset_error_s(self, chord: int) -> float:
        """The standard error of that; NaN if it was not heard."""
        pairs = zip(self.row, self.errors_s, strict=True)
        return next((error_s for beat, error_s in pairs if beat.chord == chord), nan)


def heard_structure(
    plan: LeadingPlan, chords: Chords, heard: Heard, introduction: Sequence[Stretch]
) -> Passes:
    """What the chords heard are put together to; `introduction` are the stretches of the score
    that the planned one plays."""
    kept = _chords_heard(heard)
    path = Path(tuple(Step(segment.chord, segment.jumped) for segment in kept), 0.0)
    planned = Planned(len(plan.stanza_numbers), pieces(chords, introduction))
    pace = Pace(heard.quarter_s, float(plan.gap.value.onset_to_onset_q))
    times = Times([segment.start * FRAME_S for segment in kept], pace)
    return passes(chords, path, planned, times)


def _chords_heard(heard: Heard) -> list[Segment]:
    return [segment for segment in heard.segments if segment.chord >= 0]


def heard_passes(
    plan: LeadingPlan,
    chords: Chords,
    known: Sequence[Way],
    heard: Heard,
    found: Passes,
    sound: Floats,
) -> list[HeardPass]:
    """The times through: the stanzas and perhaps an introduction."""
    kept = _chords_heard(heard)
    keys = sounding(known)
    unsure_s = load("take").number("sound.onset_spread_s")
    onsets: list[Onset] = []
    for index, segment in enumerate(kept):
        near_s = segment.start * FRAME_S
        entering = [key.midi + heard.transposed for key in chords.chords[segment.chord].keys]
        before = [k + heard.transposed for k in keys[kept[index - 1].chord]] if index else []
        fine = onset(sound, near_s, entering, before, heard.tuning_cents, heard.rt_s)
        onsets.append(fine or Onset(near_s, unsure_s, 1.0, unsure_s))
    first = 0 if found.introduction else 1
    everything = [*([found.introduction] if found.introduction else []), *found.stanzas]
    return [
        _heard_pass(chords, as_planned(plan, known[one.way], number), one, number, onsets)
        for number, one in enumerate(everything, first)
    ]


def _heard_pass(
    chords: Chords, way: Way, one: Pass, number: int, onsets: Sequence[Onset]
) -> HeardPass:
    begins = int((chords.way < one.way).sum())
    steps = [(chord, onsets[clusters[0]]) for chord, clusters in sorted(one.played.items())]
    row = tuple(
        Beat(
            chord - begins,
            broadened_q(way.clock, chords.chords[chord].onset_q),
            chords.chords[chord].phrase,
            began.at_s,
            began.near_error_s,
            began.sure,
        )
        for chord, began in steps
    )
    errors_s = tuple(began.error_s for _, began in steps)
    restarts = tuple((a - begins, b - begins) for a, b in one.restarts)
    return HeardPass(number, way, row, errors_s, restarts)
