"""Line ends and stanza gaps as played: holds, silences, beats added or lost."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import erf, inf, isnan, nan, sqrt

from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.take.expected import Way
from suspirium.take.pace import Beat, quarter_s, step_between
from suspirium.take.report import Gap, LineEnd, PlannedTempo
from suspirium.units import quarters_to_seconds


def line_chords(way: Way, index: int, voice: str | None) -> tuple[int, int] | None:
    """The chord of the last note of line `index` (from 0) and the one in which `voice` (or,
    with None, any) begins the next line; None after the last line."""
    closing = next(
        (i for i, chord in enumerate(way.chords) if chord.phrase == index and chord.closes), None
    )
    opening = next(
        (
            i
            for i, chord in enumerate(way.chords)
            if chord.phrase == index + 1 and (voice is None or chord.key_of(voice))
        ),
        None,
    )
    return None if closing is None or opening is None else (closing, opening)


def line_end(
    plan: LeadingPlan,
    way: Way,
    row: Sequence[Beat],
    index: int,
    stanza: int,
    sounded: tuple[float, float],
    sounded_error_s: float = nan,
    restarted: Collection[int] = (),
) -> LineEnd:
    """The end of line `index` (from 0); `sounded` are the seconds of hold and of silence,
    `sounded_error_s` their standard error, `restarted` the chords at which the player began
    again: what lies on the other side of them tells nothing here."""
    phrase = way.clock.phrase_ends[index].phrase
    bpm = plan.tempo.value.quarter_bpm
    lifts = phrase.breath(stanza) != "carry"
    silence_q = phrase.rest_q + (phrase.lift_q + phrase.stretch_q if lifts else 0)
    closing = max(i for i, chord in enumerate(way.chords) if chord.phrase == index and chord.closes)
    since = max((again for again in restarted if again <= closing), default=0)
    until = min((again for again in restarted if again > closing), default=len(way.chords))
    before = [beat for beat in row if beat.phrase == index and since <= beat.chord <= closing]
    after = [beat for beat in row if beat.phrase == index + 1 and beat.chord < until]
    step = step_between(before, after) if before and after else None
    planned_q = float(phrase.added_q + (phrase.stretch_q if lifts else 0))
    added_q = step.late_s / step.quarter_s - planned_q if step else 0.0
    error_q = step.error_s / step.quarter_s if step else inf
    return LineEnd(
        stanza=stanza,
        phrase=phrase.number,
        onset_q=phrase.last_onset_q,
        hold_s=sounded[0],
        silence_s=sounded[1],
        planned_hold_s=quarters_to_seconds(phrase.hold_q if lifts else phrase.written_q, bpm),
        planned_silence_s=quarters_to_seconds(silence_q, bpm),
        added_q=added_q,
        error_q=error_q,
        confidence=_confidence(added_q, error_q),
        sounded_error_s=sounded_error_s,
        quarter_s=step.quarter_s if step else nan,
        planned_stretch_q=planned_q,
    )


def _confidence(added_q: float, error_q: float) -> float:
    """Probability that the truth is on the same side of the least added beat."""
    least_q = load("take").number("added.least_q")
    if error_q <= 0:
        return 1.0
    distance = abs(abs(added_q) - least_q) / error_q
    return 0.5 * (1 + erf(distance / sqrt(2)))


def planned_tempo(plan: LeadingPlan) -> PlannedTempo:
    """What a take's tempo is held against."""
    tempo = plan.tempo.value
    return PlannedTempo(tempo.quarter_bpm, tempo.low_quarter_bpm, tempo.high_quarter_bpm)


def breath_short(silence_s: float, planned_s: float) -> bool:
    """Whether a planned breath was too short for people to breathe; False if not heard."""
    table = load("take")
    share, least_s = table.number("breath.short_share"), table.number("breath.least_s")
    return silence_s < share * min(least_s, planned_s)


def breath_long(silence_s: float, planned_s: float) -> bool:
    """Whether a silence was much longer than planned; False if not heard."""
    return silence_s > planned_s + load("take").number("breath.long_s")


def usual_gap(gaps: Sequence[Gap], planned_q: float) -> Gap:
    """The gap that the others are held against: the middle one; of two, or where two are
    in the middle, the one nearer to the plan."""
    ordered = sorted(gaps, key=lambda gap: gap.onset_to_onset_s)
    middle = {(len(ordered) - 1) // 2, len(ordered) // 2}
    return min(
        (ordered[index] for index in sorted(middle)),
        key=lambda gap: abs(gap.onset_to_onset_q - planned_q),
    )


def closing_beat(way: Way, row: Sequence[Beat]) -> Beat | None:
    """The last chord of the melody in a stanza as played; None if it was not."""
    last = way.chords[-1].phrase
    return next(
        (beat for beat in reversed(row) if way.chords[beat.chord].closes and beat.phrase == last),
        None,
    )


def stanza_gap(
    after_stanza: int,
    closing: Beat,
    opening: Beat,
    rows: Sequence[tuple[Sequence[Beat], Collection[int]]],
    silence: tuple[float, float],
    error_s: float = nan,
) -> Gap | None:
    """The gap from `closing` to `opening`, counted at the pace of the `rows` around it (each
    with the chords at which it was begun again); `silence` is that in it with its standard
    error, `error_s` its length's, all in seconds."""
    paces = [pace for row, restarted in rows if (pace := quarter_s(row, restarted))]
    if not paces:
        return None
    length_s = opening.onset_s - closing.onset_s
    return Gap(
        after_stanza=after_stanza,
        onset_to_onset_q=length_s / (sum(paces) / len(paces)),
        onset_to_onset_s=length_s,
        silence_s=silence[0] if isnan(silence[0]) else max(0.0, silence[0]),
        error_s=error_s,
        silence_error_s=silence[1],
    )
