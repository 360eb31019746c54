"""Line ends and gaps of a take of keys: holds and silences read off the melody's keys."""

from __future__ import annotations

from collections.abc import Sequence

from suspirium.plan.model import LeadingPlan
from suspirium.take.expected import Way
from suspirium.take.lines import closing_beat, line_chords, line_end, stanza_gap
from suspirium.take.match import Matched, PlayedPass
from suspirium.take.model import TakeNote
from suspirium.take.pace import beats
from suspirium.take.report import Gap, LineEnd

Numbered = tuple[int, Way, PlayedPass]


def line_ends(
    plan: LeadingPlan, numbered: Numbered, notes: Sequence[TakeNote]
) -> tuple[list[LineEnd], list[str]]:
    """Every line end inside a stanza, and in words those that could not be measured."""
    stanza, way, played = numbered
    row = beats(way, played, notes)
    found, left_out = [], []
    for index in range(len(way.clock.phrase_ends) - 1):
        sounded = _sounded(plan, way, played, index, notes)
        if sounded is not None:
            found.append(line_end(plan, way, row, index, stanza, sounded))
        elif row and row[0].phrase <= index < row[-1].phrase:
            left_out.append(f"the end of line {index + 1} in stanza {stanza}")
    return found, left_out


def _sounded(
    plan: LeadingPlan, way: Way, played: PlayedPass, index: int, notes: Sequence[TakeNote]
) -> tuple[float, float] | None:
    """Hold and silence of the melody; None where its last note or the next line's first was
    not played, or the player stopped between them."""
    melody = plan.hymn.melody.name
    around = line_chords(way, index, melody)
    if around is None or any(around[0] < again <= around[1] for _, again in played.restarts):
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


def gap_between(before: Numbered, after: Numbered, notes: Sequence[TakeNote]) -> Gap | None:
    """The gap between two passes, its silence that of all keys; None where the end or the
    beginning was not played."""
    stanza, way, _ = before
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
    return stanza_gap(stanza, closing, rows[1][0], around, silence_s)
