"""Making the plan: every decision in its order, the organist's own kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from suspirium.errors import OverrideError, Place, Remark
from suspirium.plan.breath import choose_breaths
from suspirium.plan.gap import GapSetting, choose_ending, choose_gap
from suspirium.plan.lift import LiftSetting, choose_lift
from suspirium.plan.lines import evidence_words, lines_of
from suspirium.plan.model import (
    Breath,
    Decision,
    Ending,
    LeadingPlan,
    Phrase,
    Pulse,
    StanzaGap,
    Tempo,
    Touch,
    TouchKind,
)
from suspirium.plan.overrides import NONE, Overrides, PhraseOverride
from suspirium.plan.phrases import PhraseSpan
from suspirium.plan.printed_apart import with_printed_apart
from suspirium.plan.pulse import choose_pulse, counted_beat_q, is_triple, note_name
from suspirium.plan.spare import spare_breath
from suspirium.plan.tempo import choose_tempo
from suspirium.plan.touch import TouchSetting, choose_touches
from suspirium.room import Room, default_room
from suspirium.score.model import Hymn
from suspirium.score.order import passages
from suspirium.score.sounding import bar_onset_q, closing_q, melody_tones, silent_q, time_at
from suspirium.score.words import plain_text, sung
from suspirium.tables import load
from suspirium.units import quarters_to_seconds
from suspirium.verse.sense import stops_inside

_SET = "You set it so."


def plan_hymn(
    hymn: Hymn,
    *,
    room: Room | None = None,
    singers: int | None = None,
    overrides: Overrides = NONE,
) -> LeadingPlan:
    """The leading plan of `hymn` in `room` for so many `singers`.

    Raises `OverrideError` where an override names nothing in this hymn.
    """
    room = room or default_room()
    singers = singers or int(load("room")["singers"])
    spans = lines_of(hymn, overrides.phrase_ends_q)
    hymn = with_printed_apart(hymn, spans)
    lines_q = tuple((span.first_onset_q, span.end_q) for span in spans)
    tempo, pulse = _tempo_and_pulse(hymn, lines_q, room, singers, overrides)
    bpm = tempo.value.quarter_bpm
    beat_q = counted_beat_q(hymn)
    gap = _gap(hymn, spans[-1], pulse.value.unit_q, bpm, room, overrides)
    ending = _ending(spans[-1].written_q, beat_q, overrides)
    lifts = LiftSetting(beat_q, is_triple(hymn), bpm, room)
    phrases = _phrases(hymn, spans, lifts, gap, pulse.value.unit_q, overrides)
    before_repeat = _before_repeat(hymn, spans[-1], phrases[-1], lifts, overrides)
    setting = TouchSetting(
        bpm,
        room,
        tuple(span.first_onset_q for span in spans),
        tuple(span.end_q for span in spans),
    )
    touches = _touches(hymn, choose_touches(hymn, setting), overrides)
    plan = LeadingPlan(
        hymn,
        room,
        singers,
        pulse,
        tempo,
        phrases,
        gap,
        ending,
        touches,
        before_repeat=before_repeat,
    )
    return replace(plan, remarks=(*hymn.remarks, *_remarks(plan)))


def _tempo_and_pulse(
    hymn: Hymn,
    lines_q: tuple[tuple[Fraction, Fraction], ...],
    room: Room,
    singers: int,
    overrides: Overrides,
) -> tuple[Decision[Tempo], Decision[Pulse]]:
    tempo = choose_tempo(hymn, lines_q, room, singers)
    bpm = overrides.quarter_bpm
    if bpm is None and overrides.pulse_bpm is not None:
        unit_q = overrides.pulse_q or choose_pulse(hymn, tempo.value.quarter_bpm).value.unit_q
        bpm = overrides.pulse_bpm * float(unit_q)
    if bpm is not None:
        tempo = Decision(replace(tempo.value, quarter_bpm=bpm), _SET, "organist", overridden=True)
    pulse = choose_pulse(hymn, tempo.value.quarter_bpm)
    if overrides.pulse_q is not None:
        time = time_at(hymn, hymn.pickup_q)
        per_bar = time.bar_q / overrides.pulse_q if time and len(hymn.times) == 1 else None
        pulse = Decision(Pulse(overrides.pulse_q, per_bar), _SET, "organist", overridden=True)
    return tempo, pulse


def _gap(
    hymn: Hymn,
    last: PhraseSpan,
    pulse_q: Fraction,
    quarter_bpm: float,
    room: Room,
    overrides: Overrides,
) -> Decision[StanzaGap]:
    time = time_at(hymn, last.last_onset_q)
    to_next_q = closing_q(hymn) - last.last_onset_q
    setting = GapSetting(
        written_q=last.written_q,
        to_next_q=to_next_q,
        rest_q=closing_q(hymn) - silent_q(hymn),
        pickup_q=hymn.pickup_q,
        bar_place_q=last.last_onset_q - bar_onset_q(hymn, last.last_onset_q),
        bar_q=time.bar_q if time else None,
        pulse_q=pulse_q,
        beat_q=counted_beat_q(hymn),
        quarter_bpm=quarter_bpm,
        room=room,
    )
    chosen = choose_gap(setting)
    if overrides.gap_hold_q is None and overrides.gap_silence_q is None:
        return chosen
    hold_q = chosen.value.hold_q if overrides.gap_hold_q is None else overrides.gap_hold_q
    silence_q = (
        chosen.value.silence_q if overrides.gap_silence_q is None else overrides.gap_silence_q
    )
    gap = StanzaGap(
        hold_q=hold_q,
        silence_q=silence_q,
        extra_q=hold_q + silence_q - to_next_q,
        onset_to_onset_q=hold_q + silence_q,
        silence_s=quarters_to_seconds(silence_q, quarter_bpm),
        written_q=last.written_q,
    )
    return Decision(gap, _SET, "organist", overridden=True)


def _ending(written_q: Fraction, beat_q: Fraction, overrides: Overrides) -> Decision[Ending]:
    chosen = choose_ending(written_q, beat_q, broaden=bool(overrides.broaden))
    if overrides.ending_hold_q is None and overrides.broaden is None:
        return chosen
    hold_q = chosen.value.hold_q if overrides.ending_hold_q is None else overrides.ending_hold_q
    share = chosen.value.broaden if overrides.broaden is None else overrides.broaden
    return Decision(Ending(hold_q, share), _SET, "organist", overridden=True)


def _phrases(
    hymn: Hymn,
    spans: Sequence[PhraseSpan],
    setting: LiftSetting,
    gap: Decision[StanzaGap],
    pulse_q: Fraction,
    overrides: Overrides,
) -> tuple[Phrase, ...]:
    unknown = [number for number in overrides.phrases if number > len(spans)]
    if unknown:
        raise OverrideError(
            f"an override names phrase {unknown[0]}, but this hymn has {len(spans)} lines"
        )
    lines = tuple((span.first_onset_q, span.last_onset_q) for span in spans)
    ends = tuple(span.last_onset_q + span.written_q for span in spans)
    by_stanza = [
        choose_breaths(hymn, stanza.number, lines, ends, setting.quarter_bpm)
        for stanza in hymn.stanzas
    ] or [tuple(Breath(1, "full", "There are no words: every line lifts.") for _ in spans)]
    if overrides.same_breath_every_stanza:
        by_stanza = _same(by_stanza)
    held = _held_fermatas(hymn, pulse_q) if overrides.fermatas_hold else {}
    phrases = []
    for index, span in enumerate(spans):
        set_by = overrides.phrases.get(index + 1, PhraseOverride())
        breaths = tuple(_breath(stanza[index], set_by) for stanza in by_stanza)
        following = spans[index + 1] if index + 1 < len(spans) else None
        phrase = (
            _inner(
                span,
                following.first_onset_q,
                setting,
                set_by,
                breaths,
                held.get(span.last_onset_q, Fraction(0)),
            )
            if following
            else _final(span, hymn, gap, breaths)
        )
        phrases.append(phrase)
    return tuple(phrases)


def _before_repeat(
    hymn: Hymn,
    span: PhraseSpan,
    final: Phrase,
    setting: LiftSetting,
    overrides: Overrides,
) -> Phrase | None:
    """The last line as it is led where a repeat leads back from it; None without one."""
    turns = sum(part.start_q <= span.last_onset_q < part.end_q for part in passages(hymn))
    if turns < 2:
        return None
    set_by = overrides.phrases.get(span.number, PhraseOverride())
    return _inner(span, closing_q(hymn), setting, set_by, final.breaths, Fraction(0))


def _held_fermatas(hymn: Hymn, pulse_q: Fraction) -> dict[Fraction, Fraction]:
    """How much longer the melody notes under a fermata are held, by onset."""
    added_q = pulse_q * int(load("lift")["fermata.hold_pulses"])
    return {tone.onset_q: added_q for tone in melody_tones(hymn) if tone.fermata}


def _same(by_stanza: list[tuple[Breath, ...]]) -> list[tuple[Breath, ...]]:
    """The same breath in all stanzas: the fullest that any of them needs."""
    rank = {"full": 0, "part": 1, "carry": 2}
    fullest = [
        min(column, key=lambda breath: rank[breath.kind]) for column in zip(*by_stanza, strict=True)
    ]
    return [
        tuple(
            Breath(breath.stanza, most.kind, "The same lift in every stanza, as you set it.")
            for breath, most in zip(stanza, fullest, strict=True)
        )
        for stanza in by_stanza
    ]


def _breath(breath: Breath, set_by: PhraseOverride) -> Breath:
    kind = set_by.breath(breath.stanza)
    return breath if kind is None else Breath(breath.stanza, kind, _SET)


def _inner(
    span: PhraseSpan,
    next_onset_q: Fraction,
    setting: LiftSetting,
    set_by: PhraseOverride,
    breaths: tuple[Breath, ...],
    added_q: Fraction,
) -> Phrase:
    rest_q = max(Fraction(0), next_onset_q - span.last_onset_q - span.written_q)
    lift = choose_lift(span.written_q, rest_q, setting)
    lift_q = lift.lift_q if set_by.lift_q is None else set_by.lift_q
    if lift_q >= span.written_q:
        raise OverrideError(
            f"the override of phrase {span.number} gives up {lift_q} quarters, but its last "
            f"note is only {span.written_q} long"
        )
    stretch_q = lift.stretch_q if set_by.stretch_q is None else set_by.stretch_q
    overridden = set_by != PhraseOverride()
    changed = (lift_q, stretch_q) != (lift.lift_q, lift.stretch_q)
    return Phrase(
        number=span.number,
        first_onset_q=span.first_onset_q,
        last_onset_q=span.last_onset_q,
        end_q=span.end_q,
        written_q=span.written_q,
        hold_q=span.written_q - lift_q + added_q,
        lift_q=lift_q,
        rest_q=rest_q,
        stretch_q=stretch_q,
        added_q=added_q,
        breaths=breaths,
        reason=_SET if changed else lift.reason,
        evidence=evidence_words(span),
        confidence=span.confidence,
        overridden=overridden,
    )


def _final(
    span: PhraseSpan, hymn: Hymn, gap: Decision[StanzaGap], breaths: tuple[Breath, ...]
) -> Phrase:
    """The stanza's last line: hold and silence are the gap's."""
    rest_q = closing_q(hymn) - silent_q(hymn)
    value = gap.value
    return Phrase(
        number=span.number,
        first_onset_q=span.first_onset_q,
        last_onset_q=span.last_onset_q,
        end_q=span.end_q,
        written_q=span.written_q,
        hold_q=value.hold_q,
        lift_q=value.silence_q - rest_q,
        rest_q=rest_q,
        stretch_q=Fraction(0),
        added_q=value.hold_q + value.silence_q - rest_q - span.written_q,
        breaths=breaths,
        reason=gap.reason,
        evidence=evidence_words(span),
        confidence=span.confidence,
        overridden=gap.overridden,
    )


def _touches(hymn: Hymn, chosen: tuple[Touch, ...], overrides: Overrides) -> tuple[Touch, ...]:
    touches = list(chosen)
    names = {voice.name for voice in hymn.voices} | {"all"}
    onsets = {note.onset_q for voice in hymn.voices for note in voice.notes if note.pitches}
    for own in overrides.touches:
        if own.voice not in names:
            raise OverrideError(
                f"an override of touches names the voice {own.voice!r}, which is not in this hymn"
            )
        if own.onset_q not in onsets:
            raise OverrideError(
                f"an override of touches names quarter {own.onset_q}, where no note begins"
            )
        touches = [t for t in touches if (t.onset_q, t.voice) != (own.onset_q, own.voice)]
        kind: TouchKind = "tie" if own.gives_up_q == 0 else "repeat"
        touches.append(Touch(kind, own.onset_q, own.voice, own.gives_up_q, _SET))
    return tuple(sorted(touches, key=lambda touch: (touch.onset_q, touch.kind, touch.voice)))


def _overlong(plan: LeadingPlan, phrase: Phrase, length_s: float) -> Remark:
    spare = spare_breath(plan.hymn, phrase)
    where = "inside it"
    if spare is not None:
        after = f" after “{spare.word.rstrip(',;:.!?')}”" if spare.word else ""
        where = f"in measure {spare.measure}{after}"
    return Remark(
        f"line {phrase.number} lasts {length_s:.1f} s; let the people breathe once more {where}"
    )


def _stops_inside(plan: LeadingPlan) -> Iterator[Remark]:
    """Sentences that end within a line, told with their stanza."""
    for number in plan.stanza_numbers:
        syllables = sung(plan.hymn, number)
        for phrase in plan.phrases:
            line = plain_text(
                tuple(
                    s for s in syllables if phrase.first_onset_q <= s.onset_q <= phrase.last_onset_q
                )
            )
            for word in stops_inside(line):
                yield Remark(
                    f"line {phrase.number}: a sentence ends after “{word}”; a breath may be "
                    "wanted there",
                    Place(stanza=number),
                )


def _remarks(plan: LeadingPlan) -> list[Remark]:
    """What the organist should know although a plan was made."""
    remarks = []
    longest_s = load("tempo").number("breath.longest_s")
    for phrase in plan.phrases:
        length_q = phrase.last_onset_q + phrase.written_q - phrase.first_onset_q
        length_s = quarters_to_seconds(length_q, plan.tempo.value.quarter_bpm)
        if length_s > longest_s:
            remarks.append(_overlong(plan, phrase, length_s))
    remarks.extend(_stops_inside(plan))
    if plan.pulse.value.per_bar is None and len(plan.hymn.times) > 1:
        remarks.append(
            Remark(f"the metre changes; count {note_name(plan.pulse.value.unit_q)}s throughout")
        )
    return remarks
