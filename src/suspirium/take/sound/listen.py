"""Listening to a recording: from sound to the report, with what sound can't tell left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.score.sounding import measure_at
from suspirium.tables import load
from suspirium.take.advice import Measures, advice, praise
from suspirium.take.expected import Way, ways
from suspirium.take.lines import closing_beat, line_chords, line_end, stanza_gap
from suspirium.take.pace import Beat, quarter_s
from suspirium.take.passes import Pass, passes
from suspirium.take.path import Chords, Path, Step
from suspirium.take.report import Gap, LineEnd, Restart, TakeReport
from suspirium.take.sound.bands import FRAME_S, Floats
from suspirium.take.sound.hear import Heard, hear
from suspirium.take.sound.onsets import onset_s
from suspirium.take.sound.releases import Release, Span, releases
from suspirium.take.sound.templates import sounding
from suspirium.take.tempo import pulse_points, stanza_tempo
from suspirium.units import quarters_to_seconds

NOT_FROM_SOUND = (
    "wrong, missing and extra notes: voices melt in a recording; record the keys for them",
    "touch of pickups and repeated notes: the room covers it",
)


@dataclass(frozen=True, slots=True)
class HeardPass:
    """One time through as heard: its number (0 the introduction), chords, begun-again ones."""

    number: int
    way: Way
    row: tuple[Beat, ...]
    restarts: tuple[tuple[int, int], ...]

    @property
    def restarted(self) -> tuple[int, ...]:
        """The chords at which the player began again."""
        return tuple(again for _, again in self.restarts)

    def onset_s(self, chord: int) -> float | None:
        """When a chord was heard; None if it was not."""
        return next((beat.onset_s for beat in self.row if beat.chord == chord), None)


def listen(plan: LeadingPlan, sound: Floats) -> TakeReport:
    """What a recording did, measured against `plan`.

    `sound` is mono at `suspirium.take.sound.bands.RATE`. Raises `TakeError` if nothing
    sounds in it or it is another hymn.
    """
    loudest = max(sound.max(initial=0.0), -sound.min(initial=0.0))
    if loudest < load("take").number("sound.silent"):
        raise TakeError("this recording is silent; check the microphone")
    known = ways(plan)
    chords = Chords(known)
    tempo, gap = plan.tempo.value, plan.gap.value
    heard = hear(sound, known, quarters_to_seconds(1, tempo.quarter_bpm), float(gap.hold_q))
    _refuse(plan, heard)
    played = _passes(plan, chords, known, heard, sound)
    ends, left_out = _line_ends(plan, chords, known, played, heard, sound)
    gaps = _gaps(known, played, heard, sound)
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
        not_measured=(*NOT_FROM_SOUND, *left_out),
        advice=advice(measures),
        praise=praise(measures),
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


def _passes(
    plan: LeadingPlan, chords: Chords, known: Sequence[Way], heard: Heard, sound: Floats
) -> list[HeardPass]:
    """The times through with every chord's onset refined."""
    kept = [segment for segment in heard.segments if segment.chord >= 0]
    path = Path(tuple(Step(segment.chord, segment.jumped) for segment in kept), 0.0)
    found = passes(chords, path, len(plan.stanza_numbers))
    keys = sounding(known)
    at_s: list[float] = []
    for index, segment in enumerate(kept):
        near_s = segment.start * FRAME_S
        entering = [key.midi + heard.transposed for key in chords.chords[segment.chord].keys]
        before = [k + heard.transposed for k in keys[kept[index - 1].chord]] if index else []
        fine_s = onset_s(sound, near_s, entering, before, heard.tuning_cents)
        at_s.append(near_s if fine_s is None else fine_s)
    first = 0 if found.introduction else 1
    everything = [*([found.introduction] if found.introduction else []), *found.stanzas]
    return [
        _heard_pass(chords, known, one, number, at_s)
        for number, one in enumerate(everything, first)
    ]


def _heard_pass(
    chords: Chords, known: Sequence[Way], one: Pass, number: int, at_s: Sequence[float]
) -> HeardPass:
    begins = int((chords.way < one.way).sum())
    row = tuple(
        Beat(
            chord - begins,
            float(chords.onset_q[chord]),
            chords.chords[chord].phrase,
            at_s[clusters[0]],
        )
        for chord, clusters in sorted(one.played.items())
    )
    restarts = tuple((a - begins, b - begins) for a, b in one.restarts)
    return HeardPass(number, known[one.way], row, restarts)


def _line_ends(
    plan: LeadingPlan,
    chords: Chords,
    known: Sequence[Way],
    played: Sequence[HeardPass],
    heard: Heard,
    sound: Floats,
) -> tuple[list[LineEnd], list[str]]:
    """Line ends of all stanzas; each chord's predictors are learnt from all its times."""
    melody = plan.hymn.melody.name
    found: list[LineEnd] = []
    left_out: list[str] = []
    for number, way in enumerate(known):
        keys = sounding([way])
        for index in range(len(way.clock.phrase_ends) - 1):
            around = line_chords(way, index, melody)
            if around is None:
                continue
            here = [
                (one, start_s, until_s)
                for one in played
                if one.number
                and one.way is known[number]
                and (start_s := one.onset_s(around[0])) is not None
                and (until_s := one.onset_s(around[1])) is not None
                and until_s > start_s
                and not any(around[0] < again <= around[1] for again in one.restarted)
            ]
            lead = way.chords[around[0]].key_of(melody)
            if not here or lead is None:
                continue
            between = range(around[0] + 1, around[1])
            spans = [
                Span(start_s, until_s, _first_s(one, between, until_s), _held_s(way, one, index))
                for one, start_s, until_s in here
            ]
            chord = [key + heard.transposed for key in keys[around[0]]]
            later = {key + heard.transposed for one in between for key in keys[one]}
            let_go = releases(
                sound,
                spans,
                chord,
                lead.midi + heard.transposed,
                heard.tuning_cents,
                sorted(later),
            )
            for (one, start_s, until_s), release in zip(here, let_go, strict=True):
                if not _sure(way, index, one.number, release, let_go):
                    left_out.append(
                        f"the lift of line {index + 1} in stanza {one.number}: the room covers it"
                    )
                    release = Release(float("nan"), 0.0)
                sounded = release.at_s - start_s, max(0.0, until_s - release.at_s)
                found.append(line_end(plan, way, one.row, index, one.number, sounded))
    found.sort(key=lambda end: (end.stanza, end.phrase))
    return found, left_out


def _first_s(one: HeardPass, chords: Sequence[int], until_s: float) -> float:
    """When the first of these chords was heard; `until_s` if none was."""
    heard_s = (at_s for chord in chords if (at_s := one.onset_s(chord)) is not None)
    return min(heard_s, default=until_s)


def _held_s(way: Way, one: HeardPass, index: int) -> float:
    """Seconds for which a line's last note would be held as planned, at this stanza's tempo."""
    phrase = way.clock.phrase_ends[index].phrase
    planned_q = phrase.written_q if phrase.breath(one.number) == "carry" else phrase.hold_q
    return float(planned_q) * (quarter_s(one.row, one.restarted) or inf)


def _sure(way: Way, index: int, stanza: int, release: Release, others: Sequence[Release]) -> bool:
    """Whether a lift was heard, or its absence is heard because it would have been."""
    least = load("take").number("sound.sure_gain")
    if release.gain >= least:
        return True
    full = way.clock.phrase_ends[index].phrase.breath(stanza) == "full"
    clear = sorted(other.gain for other in others)[len(others) // 2] >= 2 * least
    return release.gain == 0 and full and clear


def _gaps(
    known: Sequence[Way], played: Sequence[HeardPass], heard: Heard, sound: Floats
) -> list[Gap]:
    found = []
    for before, after in pairwise(played):
        closing = closing_beat(before.way, before.row)
        if closing is None or not after.row or after.row[0].chord != 0:
            continue
        opening = after.row[0]
        last = before.row[-1]  # another voice may move under the melody's last note
        keys = [key + heard.transposed for key in sounding([before.way])[last.chord]]
        span = Span(last.onset_s, opening.onset_s, opening.onset_s, inf)
        release = releases(sound, [span], keys, max(keys), heard.tuning_cents)[0]
        around = [(one.row, one.restarted) for one in (before, after)]
        gap = stanza_gap(before.number, closing, opening, around, opening.onset_s - release.at_s)
        if gap is not None:
            found.append(gap)
    return found


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
