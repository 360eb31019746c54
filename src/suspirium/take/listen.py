"""Listening to a take: from a plan and what was played to the report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from suspirium.plan.model import LeadingPlan
from suspirium.score.pitch import spelled
from suspirium.score.sounding import key_at, measure_at
from suspirium.tables import load
from suspirium.take.advice import Measures, advice, praise
from suspirium.take.expected import Way, as_planned
from suspirium.take.keyed import gap_between, line_ends
from suspirium.take.likeliest import all_voices
from suspirium.take.lines import planned_tempo
from suspirium.take.match import Match, match
from suspirium.take.model import Take
from suspirium.take.pace import beats
from suspirium.take.part import Part
from suspirium.take.remarks import filled_words, unsure_words
from suspirium.take.report import Gap, LineEnd, NoteFault, Restart, TakeReport
from suspirium.take.structure import Stretch
from suspirium.take.tempo import pulse_points, stanza_tempo
from suspirium.take.told import Fault, PlayedPass
from suspirium.take.touches import touch_measures
from suspirium.units import quarters_to_seconds

INTRODUCTION = 0


def listen(plan: LeadingPlan, take: Take, introduction: Sequence[Stretch] = ()) -> TakeReport:
    """What `take` did, measured against `plan`; `TakeError` if it is another hymn.

    `introduction` are the stretches of the score that the planned introduction plays, if any.
    """
    found = match(plan, take, introduction)
    notes = take.notes
    played = list(_numbered(plan, found))
    rows = [beats(way, one, notes) for _, way, one in played]
    restarted = [[again for _, again in one.restarts] for _, _, one in played]
    ends: list[LineEnd] = []
    left_out: list[str] = []
    for numbered in played:
        if numbered[0] != INTRODUCTION:
            own, missed = line_ends(plan, numbered, notes)
            ends += own
            left_out += missed
    filled = list(_filled(found, played))
    gaps = [
        None if before[0] in filled else gap_between(plan, before, after, notes)
        for before, after in pairwise(played)
    ]
    tempos = [
        stanza_tempo(row, again, stanza)
        for (stanza, _, _), row, again in zip(played, rows, restarted, strict=True)
    ]
    faults = [fault for stanza, _, one in played for fault in _faults(plan, found, stanza, one)]
    measures = Measures(
        plan,
        [tempo for tempo in tempos if tempo is not None],
        ends,
        [gap for gap in gaps if gap is not None],
        faults,
        touch_measures(plan, [(way, one) for _, way, one in played], notes),
    )
    gap = plan.gap.value
    return TakeReport(
        title=plan.hymn.title,
        stanzas_planned=len(plan.stanza_numbers),
        stanzas_found=len(found.stanzas),
        introduction_found=found.introduction is not None,
        transposed_semitones=found.transposed,
        tempos=tuple(measures.tempos),
        pulse=tuple(
            point
            for (stanza, way, _), row, again in zip(played, rows, restarted, strict=True)
            if stanza != INTRODUCTION
            for point in pulse_points(plan, way, row, again, stanza, ends)
        ),
        line_ends=tuple(ends),
        gaps=tuple(measures.gaps),
        planned_gap_q=float(gap.onset_to_onset_q),
        planned_gap_s=quarters_to_seconds(gap.onset_to_onset_q, plan.tempo.value.quarter_bpm),
        planned_gap_silence_q=float(gap.silence_q),
        matched=sum(len(chord.matched) for _, _, one in played for chord in one.chords),
        faults=tuple(faults),
        restarts=tuple(_restarts(plan, played)),
        touches=tuple(measures.touches),
        not_measured=(
            *_of_the_part(plan, found, gaps),
            *map(filled_words, filled),
            *(
                f"the pulse of stanza {stanza} against the plan: something was begun again in it"
                for (stanza, _, _), again in zip(played, restarted, strict=True)
                if again and stanza != INTRODUCTION
            ),
            *left_out,
        ),
        advice=advice(measures),
        praise=praise(measures),
        voices_played=_played_voices(plan, found),
        voices_left_out=_left_out(plan, found),
        remarks=(
            *map(str, take.remarks),
            *unsure_words(found.unsure, found.introduction is not None),
        ),
        planned_tempo=planned_tempo(plan),
    )


def _filled(found: Match, played: Sequence[tuple[int, Way, PlayedPass]]) -> Iterator[int]:
    """The stanzas (0 the introduction) after which an interlude was played: the end of the
    hymn once more, or what is no part of it."""
    notes = found.take.notes
    for (stanza, _, before), (_, _, after) in pairwise(played):
        from_s = max(notes[m.note].onset_s for chord in before.chords for m in chord.matched)
        until_s = min(notes[m.note].onset_s for chord in after.chords for m in chord.matched)
        between = sum(from_s < notes[index].onset_s < until_s for index in found.outside)
        if stanza - 1 in found.interludes or between > load("take")["gap.stray"]:
            yield stanza


def _played_voices(plan: LeadingPlan, found: Match) -> Part:
    heard = {voice for one in found.stanzas for voice in found.parts[one.way]}
    return tuple(voice for voice in all_voices(plan) if voice in heard)


def _left_out(plan: LeadingPlan, found: Match) -> Part:
    played = _played_voices(plan, found)
    return tuple(voice for voice in all_voices(plan) if voice not in played)


def _of_the_part(plan: LeadingPlan, found: Match, gaps: Sequence[Gap | None]) -> Iterator[str]:
    """What a take of a part alone, or a stanza of one among others, does not tell."""
    missing, played = _left_out(plan, found), _played_voices(plan, found)
    if missing:
        yield f"notes of the {_listed(missing)}: {_only(played)}"
    for stanza, one in enumerate(found.stanzas, 1):
        part = found.parts[one.way]
        if len(part) < len(played):
            less = [voice for voice in played if voice not in part]
            yield f"notes of the {_listed(less)} in stanza {stanza}: {_only(part)}"
    if plan.hymn.melody.name in missing:
        yield "lifts at the ends of lines and the melody's touch: the melody was not played"
    if missing and gaps and not any(gaps):
        yield "the gaps between the stanzas: the part does not sound on both sides of them"


def _only(part: Part) -> str:
    return f"only the {_listed(part)} {'was' if len(part) == 1 else 'were'} played"


def _listed(voices: Sequence[str]) -> str:
    *many, last = voices
    return f"{', '.join(many)} and {last}" if many else last


def _numbered(plan: LeadingPlan, found: Match) -> Iterator[tuple[int, Way, PlayedPass]]:
    """The times through with their numbers, the introduction's being 0."""
    if found.introduction is not None:
        yield INTRODUCTION, found.ways[found.introduction.way], found.introduction
    for number, one in enumerate(found.stanzas, 1):
        yield number, as_planned(plan, found.ways[one.way], number), one


def _faults(plan: LeadingPlan, found: Match, stanza: int, one: PlayedPass) -> Iterator[NoteFault]:
    way = found.ways[one.way]
    for fault in one.faults:
        onset_q = fault.key.written_q if fault.key else way.chords[fault.chord].written_q
        expected = fault.key.midi if fault.key else None
        played = (
            None if fault.note is None else found.take.notes[fault.note].midi - found.transposed
        )
        fifths = key_at(plan.hymn, onset_q).fifths
        yield NoteFault(
            kind=fault.kind,
            stanza=stanza,
            measure=measure_at(plan.hymn, onset_q).number,
            onset_q=onset_q,
            voice=_voice(fault, way, played),
            expected_midi=expected,
            played_midi=played,
            expected_name="" if expected is None else str(spelled(expected, fifths)),
            played_name="" if played is None else str(spelled(played, fifths)),
        )


def _voice(fault: Fault, way: Way, midi: int | None) -> str:
    """The voice of the key; of a note too many (sounding at `midi`) the nearest in its chord."""
    keys = way.chords[fault.chord].keys
    key = fault.key or min(keys, key=lambda key: abs(key.midi - (midi or 0)))
    return key.voices[0]


def _restarts(
    plan: LeadingPlan, played: Sequence[tuple[int, Way, PlayedPass]]
) -> Iterator[Restart]:
    for stanza, way, one in played:
        for stopped, again in one.restarts:
            line = way.chords[again]
            whole = line.opens and way.chords[stopped].phrase == line.phrase
            ended = stopped + 1 == len(way.chords) or way.chords[stopped + 1].opens
            yield Restart(
                stanza,
                measure_at(plan.hymn, way.chords[stopped].written_q).number,
                measure_at(plan.hymn, line.written_q).number,
                way.clock.phrase_ends[line.phrase].phrase.number if whole and ended else 0,
            )
