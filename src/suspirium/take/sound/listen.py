"""Listening to a recording: from sound to the report, with what sound can't tell left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.score.sounding import measure_at
from suspirium.tables import load
from suspirium.take.advice import Measures, advice, praise
from suspirium.take.expected import Way, ways
from suspirium.take.passes import Passes
from suspirium.take.path import Chords
from suspirium.take.remarks import filled_words, unsure_words
from suspirium.take.report import Restart, TakeReport
from suspirium.take.sound.bands import Floats
from suspirium.take.sound.hear import Heard, hear
from suspirium.take.sound.line_ends import heard_gaps, heard_line_ends
from suspirium.take.sound.played import HeardPass, heard_passes, heard_structure
from suspirium.take.structure import Stretch
from suspirium.take.tempo import pulse_points, stanza_tempo
from suspirium.units import quarters_to_seconds

NOT_FROM_SOUND = (
    "wrong, missing and extra notes: voices melt in a recording; record the keys for them",
    "touch of pickups and repeated notes: the room covers it",
)


@dataclass(frozen=True, slots=True)
class HeardTake:
    """A recording followed through a plan's hymn: the ways known through it, what was heard,
    what it is put together to, and the times through."""

    known: tuple[Way, ...]
    heard: Heard
    found: Passes
    played: tuple[HeardPass, ...]

    @property
    def filled(self) -> tuple[int, ...]:
        """The stanzas (0 the introduction) after which an interlude or other music was played."""
        least_s = load("take").number("sound.filled_s")
        other_s = [at_s for at_s, long_s in self.heard.holes if long_s >= least_s]
        return tuple(
            before.number
            for before, after in pairwise(self.played)
            if before.number - 1 in self.found.interludes
            or any(before.row[-1].onset_s < at_s < after.row[0].onset_s for at_s in other_s)
        )


def listen(plan: LeadingPlan, sound: Floats, introduction: Sequence[Stretch] = ()) -> TakeReport:
    """What a recording did, measured against `plan`.

    `sound` is mono at `suspirium.take.sound.bands.RATE`; `introduction` are the stretches of
    the score that the planned introduction plays, if any. Raises `TakeError` if nothing
    sounds in it or it is another hymn.
    """
    return measured(plan, followed(plan, sound, introduction), sound)


def followed(plan: LeadingPlan, sound: Floats, introduction: Sequence[Stretch] = ()) -> HeardTake:
    """The recording followed through the hymn, every chord's onset refined.

    Raises `TakeError` if nothing sounds in it or it is another hymn.
    """
    loudest = max(sound.max(initial=0.0), -sound.min(initial=0.0))
    if loudest < load("take").number("sound.silent"):
        raise TakeError("this recording is silent; check the microphone")
    known = ways(plan)
    tempo, gap = plan.tempo.value, plan.gap.value
    heard = hear(sound, known, quarters_to_seconds(1, tempo.quarter_bpm), float(gap.hold_q))
    _refuse(plan, heard)
    chords = Chords(known)
    found = heard_structure(plan, chords, heard, introduction)
    played = heard_passes(plan, chords, known, heard, found, sound)
    return HeardTake(known, heard, found, tuple(played))


def measured(plan: LeadingPlan, take: HeardTake, sound: Floats) -> TakeReport:
    """The report on a followed recording."""
    tempo, gap = plan.tempo.value, plan.gap.value
    known, heard, played = take.known, take.heard, take.played
    ends, left_out = heard_line_ends(plan, known, played, heard, sound)
    gaps, gaps_left_out = heard_gaps(plan, played, heard, sound, take.filled)
    tempos = [stanza_tempo(one.row, one.restarted, one.number) for one in played]
    measures = Measures(plan, [tempo for tempo in tempos if tempo is not None], ends, gaps, ())
    return TakeReport(
        title=plan.hymn.title,
        stanzas_planned=len(plan.stanza_numbers),
        stanzas_found=sum(one.number > 0 for one in played),
        introduction_found=any(one.number == 0 for one in played),
        transposed_semitones=heard.transposed,
        tempos=tuple(measures.tempos),
        pulse=tuple(
            point
            for one in played
            if one.number
            for point in pulse_points(plan, one.way, one.row, one.restarted, one.number, ends)
        ),
        line_ends=tuple(ends),
        gaps=tuple(gaps),
        planned_gap_q=float(gap.onset_to_onset_q),
        planned_gap_s=quarters_to_seconds(gap.onset_to_onset_q, tempo.quarter_bpm),
        planned_gap_silence_q=float(gap.silence_q),
        matched=None,
        faults=(),
        restarts=tuple(_restarts(plan, played)),
        touches=(),
        not_measured=(*NOT_FROM_SOUND, *map(filled_words, take.filled), *left_out, *gaps_left_out),
        advice=advice(measures),
        praise=praise(measures),
        remarks=tuple(unsure_words(take.found.unsure, take.found.introduction is not None)),
    )


def _refuse(plan: LeadingPlan, heard: Heard) -> None:
    table = load("take")
    title = plan.hymn.title or "this hymn"
    if not any(segment.chord >= 0 for segment in heard.segments):
        raise TakeError(f"nothing of {title} is heard in this recording")
    if heard.course < table.number("sound.least_course"):
        raise TakeError(
            f"this recording is not {title}, or too little of it is heard; name the hymn that "
            "was played, or record nearer to the organ"
        )


def _restarts(plan: LeadingPlan, played: Sequence[HeardPass]) -> list[Restart]:
    return [
        Restart(
            one.number,
            measure_at(plan.hymn, one.way.chords[stopped].written_q).number,
            measure_at(plan.hymn, one.way.chords[again].written_q).number,
        )
        for one in played
        for stopped, again in one.restarts
    ]
