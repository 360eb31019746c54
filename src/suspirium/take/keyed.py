"""Line ends and gaps of a take of keys: holds and silences read off the melody's keys."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, nan, sqrt
from statistics import pstdev

from suspirium.plan.model import LeadingPlan
from suspirium.tables import load
from suspirium.take.expected import Way
from suspirium.take.held_on import held_on_text
from suspirium.take.lines import closing_beat, line_chords, line_end, stanza_gap
from suspirium.take.model import TakeNote
from suspirium.take.pace import Beat, beats
from suspirium.take.report import Gap, LineEnd
from suspirium.take.told import Matched, PlayedPass

Numbered = tuple[int, Way, PlayedPass]


def line_ends(
    plan: LeadingPlan, numbered: Numbered, notes: Sequence[TakeNote]
) -> tuple[list[LineEnd], list[str]]:
    """Every line end inside a stanza, and in words those that could not be measured.

    Without the melody's last note or the next line's first, or where another voice holds the
    melody's key on, hold and silence are not measured (NaN), but whether the voices went on in
    time is.
    """
    stanza, way, played = numbered
    row = beats(way, played, notes)
    found, left_out = [], []
    for index in range(len(way.clock.phrase_ends) - 1):
        if not row or not row[0].phrase <= index < row[-1].phrase:
            continue
        around = line_chords(way, index, None)
        if around is None or any(around[0] < again <= around[1] for _, again in played.restarts):
            left_out.append(
                f"the end of line {index + 1} in stanza {stanza}: the next line was begun again"
            )
            continue
        sounded = _sounded(plan, way, played, index, notes)
        holders = [voice for voice in way.holders(stanza, index) if _in_part(way, voice)]
        if sounded is not None and holders:
            sounded = None
            left_out.append(held_on_text(holders, index, stanza))
        elif sounded is None and _in_part(way, plan.hymn.melody.name):
            left_out.append(
                f"the end of line {index + 1} in stanza {stanza}: the melody's note there was "
                "not played"
            )
            continue
        again = [again for _, again in played.restarts]
        found.append(
            line_end(plan, way, row, index, stanza, sounded or (nan, nan), _key_error_s(), again)
        )
    return found, left_out


def _in_part(way: Way, voice: str) -> bool:
    return any(chord.key_of(voice) for chord in way.chords)


def _sounded(
    plan: LeadingPlan, way: Way, played: PlayedPass, index: int, notes: Sequence[TakeNote]
) -> tuple[float, float] | None:
    """Hold and silence of the melody; None where its last note or the next line's first was
    not played."""
    melody = plan.hymn.melody.name
    around = line_chords(way, index, melody)
    if around is None:
        return None
    chords = {chord.index: chord.matched for chord in played.chords}
    last, following = (_melody(chords.get(chord, ()), melody) for chord in around)
    if last is None or following is None:
        return None
    note = notes[last.note]
    silence_s = notes[following.note].onset_s - note.release_s
    return note.release_s - note.onset_s, max(0.0, silence_s)


def _melody(matched: Sequence[Matched], melody: str) -> Matched | None:
    return next((m for m in matched if melody in m.key.voices), None)


def gap_between(
    plan: LeadingPlan, before: Numbered, after: Numbered, notes: Sequence[TakeNote]
) -> Gap | None:
    """The gap between two passes, its silence that of all keys; None where the end or the
    beginning was not played, or a part alone has no note there."""
    stanza, way, _ = before
    if not (_ends_whole(way) and _begins_whole(plan, after[1])):
        return None
    rows = [beats(w, p, notes) for _, w, p in (before, after)]
    closing = closing_beat(way, rows[0])
    if closing is None or not rows[1] or rows[1][0].chord != 0:
        return None
    opens_s = min(notes[m.note].onset_s for m in after[2].chords[0].matched)
    released_s = [
        note.release_s
        for note in notes
        if note.onset_s < opens_s and note.release_s >= closing.onset_s
    ]
    silence_s = opens_s - max(released_s, default=opens_s)
    restarted = [[again for _, again in p.restarts] for _, _, p in (before, after)]
    around = list(zip(rows, restarted, strict=True))
    error_s = hypot(
        _onset_error_s(before, closing, notes), _onset_error_s(after, rows[1][0], notes)
    )
    silence = silence_s, _key_error_s()
    return stanza_gap(stanza, closing, rows[1][0], around, silence, error_s)


def _key_error_s() -> float:
    """The standard error of the time between two events of keys."""
    return sqrt(2) * load("take").number("midi.message_s")


def _onset_error_s(numbered: Numbered, beat: Beat, notes: Sequence[TakeNote]) -> float:
    """The standard error of a chord's onset, from how far its keys lie apart."""
    played = next(chord for chord in numbered[2].chords if chord.index == beat.chord)
    onsets = [notes[matched.note].onset_s for matched in played.matched]
    return max(load("take").number("midi.message_s"), pstdev(onsets) / sqrt(len(onsets)))


def _ends_whole(way: Way) -> bool:
    """Whether something is struck with the stanza's last melody note."""
    end = way.clock.phrase_ends[-1]
    closing_q = end.end_q - end.phrase.written_q
    return any(chord.closes and chord.onset_q == closing_q for chord in way.chords)


def _begins_whole(plan: LeadingPlan, way: Way) -> bool:
    """Whether something is struck with the stanza's first melody note."""
    return way.chords[0].onset_q == plan.phrases[0].first_onset_q
