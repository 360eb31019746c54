"""Line ends and stanza gaps as played: holds, silences, beats added or lost."""

from __future__ import annotations

from collections.abc import Sequence
from math import erf, sqrt

from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.take.expected import Way
from suspirium.take.match import Matched, PlayedPass
from suspirium.take.model import TakeNote
from suspirium.take.pace import Beat, beats, quarter_s, step_between
from suspirium.take.report import Gap, LineEnd
from suspirium.units import quarters_to_seconds


def line_ends(
    plan: LeadingPlan, way: Way, played: PlayedPass, stanza: int, notes: Sequence[TakeNote]
) -> tuple[list[LineEnd], list[str]]:
    """Every line end inside a stanza, and in words those that could not be measured."""
    row = beats(way, played, notes)
    restarted = {again for _, again in played.restarts}
    found, left_out = [], []
    for index in range(len(way.clock.phrase_ends) - 1):
        end = _line_end(plan, way, played, stanza, notes, row, index, restarted)
        if end is not None:
            found.append(end)
        elif row and row[0].phrase <= index < row[-1].phrase:
            left_out.append(f"the end of line {index + 1} in stanza {stanza}")
    return found, left_out


def _line_end(
    plan: LeadingPlan,
    way: Way,
    played: PlayedPass,
    stanza: int,
    notes: Sequence[TakeNote],
    row: Sequence[Beat],
    index: int,
    restarted: set[int],
) -> LineEnd | None:
    """None where the melody's last note or the next line's first were not played."""
    melody = plan.hymn.melody.name
    chords = {chord.index: chord.matched for chord in played.chords}
    closing = next(
        (i for i, chord in enumerate(way.chords) if chord.phrase == index and chord.closes), None
    )
    opening = next(
        (
            i
            for i, chord in enumerate(way.chords)
            if chord.phrase == index + 1 and chord.key_of(melody)
        ),
        None,
    )
    if closing is None or opening is None or any(closing < r <= opening for r in restarted):
        return None
    last = _melody(chords.get(closing, ()), melody)
    following = _melody(chords.get(opening, ()), melody)
    if last is None or following is None:
        return None
    phrase = way.clock.phrase_ends[index].phrase
    bpm = plan.tempo.value.quarter_bpm
    lifts = phrase.breath(stanza) != "carry"
    silence_q = phrase.rest_q + (phrase.lift_q + phrase.stretch_q if lifts else 0)
    hold_q = phrase.hold_q if lifts else phrase.written_q
    before = [beat for beat in row if beat.phrase == index and beat.chord <= closing]
    after = [beat for beat in row if beat.phrase == index + 1]
    step = step_between(before, after) if before and after else None
    stretch_q = float(phrase.stretch_q) if lifts else 0.0
    added_q = step.late_s / step.quarter_s - stretch_q - float(phrase.added_q) if step else 0.0
    error_q = step.error_s / step.quarter_s if step else float("inf")
    note = notes[last.note]
    return LineEnd(
        stanza=stanza,
        phrase=phrase.number,
        onset_q=phrase.last_onset_q,
        hold_s=note.release_s - note.onset_s,
        silence_s=max(0.0, notes[following.note].onset_s - note.release_s),
        planned_hold_s=quarters_to_seconds(hold_q, bpm),
        planned_silence_s=quarters_to_seconds(silence_q, bpm),
        added_q=added_q,
        error_q=error_q,
        confidence=_confidence(added_q, error_q),
    )


def _melody(matched: Sequence[Matched], melody: str) -> Matched | None:
    return next((m for m in matched if melody in m.key.voices), None)


def _confidence(added_q: float, error_q: float) -> float:
    """Probability that the truth is on the same side of the least added beat."""
    least_q = load("take").number("added.least_q")
    if error_q <= 0:
        return 1.0
    distance = abs(abs(added_q) - least_q) / error_q
    return 0.5 * (1 + erf(distance / sqrt(2)))


def gap_after(
    before: tuple[Way, PlayedPass, int],
    after: tuple[Way, PlayedPass],
    notes: Sequence[TakeNote],
) -> Gap | None:
    """The gap between two passes; None where the end or the beginning was not played."""
    way, played, stanza = before
    row = beats(way, played, notes)
    following = beats(*after, notes)
    if not row or not following or following[0].chord != 0:
        return None
    closing = next((beat for beat in reversed(row) if way.chords[beat.chord].closes), None)
    if closing is None or closing.phrase != way.chords[-1].phrase:
        return None
    onset_s = following[0].onset_s
    opens_s = min(notes[m.note].onset_s for m in after[1].chords[0].matched)
    released_s = [
        note.release_s
        for note in notes
        if note.onset_s < opens_s and note.release_s >= closing.onset_s
    ]
    paces = [
        pace
        for pace in (
            quarter_s(row, [again for _, again in played.restarts]),
            quarter_s(following, [again for _, again in after[1].restarts]),
        )
        if pace
    ]
    if not paces or not released_s:
        return None
    length_s = onset_s - closing.onset_s
    return Gap(
        after_stanza=stanza,
        onset_to_onset_q=length_s / (sum(paces) / len(paces)),
        onset_to_onset_s=length_s,
        silence_s=max(0.0, opens_s - max(released_s)),
    )
