"""From voices to keys within one stanza: lifts and touch applied, shared keys resolved."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import groupby

from suspirium.plan.clock import PhraseEnd, Shift, StanzaClock
from suspirium.plan.model import LeadingPlan, Touch
from suspirium.score.model import Voice
from suspirium.score.sounding import tones
from suspirium.tables import load


@dataclass(frozen=True, slots=True)
class Struck:
    """A key struck by one or more voices, in played quarters; `written_q` is its place in
    the score."""

    voices: tuple[str, ...]
    midi: int
    written_q: Fraction
    onset_q: Fraction
    end_q: Fraction
    release_q: Fraction


def stanza_keys(
    plan: LeadingPlan, clock: StanzaClock, voices: Sequence[str] | None = None
) -> tuple[Struck, ...]:
    """The keys of one stanza, manual and pedal apart: (division is by the voices' names).

    The precedence of common practice: lift, then the melody's re-strike, then the bass,
    then legato.
    """
    wanted = [v for v in plan.hymn.voices if voices is None or v.name in voices]
    manual: list[Struck] = []
    pedal: list[Struck] = []
    for voice in wanted:
        line = _released(plan, clock, voice)
        (pedal if is_pedal(plan, voice.name) else manual).extend(line)
    return tuple(
        sorted([*_on_shared_keys(plan, manual), *_on_shared_keys(plan, pedal)], key=_order)
    )


def is_pedal(plan: LeadingPlan, voice: str) -> bool:
    """The bass of a hymn in three or more voices goes to the pedal."""
    return len(plan.hymn.voices) >= 3 and voice == plan.hymn.voices[-1].name


def _order(struck: Struck) -> tuple[Fraction, int]:
    return struck.onset_q, struck.midi


@lru_cache(maxsize=64)
def _unfolded(shifts: tuple[Shift, ...], voice: Voice) -> tuple[Struck, ...]:
    """A voice's tones as played; what is tied over the end of a passage stops there.

    Kept, as the stanzas of a hymn mostly go one way and differ in their breaths only.
    """
    line = tones(voice)
    return tuple(
        Struck(
            (voice.name,),
            tone.pitch.midi,
            tone.onset_q,
            tone.onset_q + shift.by_q,
            end_q := min(tone.end_q, shift.end_q) + shift.by_q,
            end_q,
        )
        for shift in shifts
        for tone in line
        if shift.start_q <= tone.onset_q < shift.end_q
    )


def _released(plan: LeadingPlan, clock: StanzaClock, voice: Voice) -> list[Struck]:
    """One voice with its touch and lifts."""
    touches = {
        touch.onset_q: touch
        for touch in sorted(plan.touches, key=lambda touch: touch.gives_up_q)
        if touch.voice in (voice.name, "all") and touch.kind not in ("tie", "shared_key")
    }  # of two the one that gives up more
    ties = {t.onset_q for t in plan.touches if t.kind == "tie" and t.voice == voice.name}
    unfolded = _unfolded(clock.shifts, voice)
    line = [_touched(struck, touches.get(struck.written_q)) for struck in unfolded]
    melody = voice is plan.hymn.melody
    lifts = {end.end_q: end for end in clock.phrase_ends if _lifts(clock, end, melody=melody)}
    return list(_tied((_lifted(plan, clock, struck, lifts) for struck in line), ties))


def _touched(struck: Struck, touch: Touch | None) -> Struck:
    if touch is None:
        return struck
    return replace(struck, release_q=max(struck.end_q - touch.gives_up_q, _middle(struck)))


def _middle(struck: Struck) -> Fraction:
    return (struck.onset_q + struck.end_q) / 2


def _lifts(clock: StanzaClock, end: PhraseEnd, *, melody: bool) -> bool:
    kind = end.phrase.breath(clock.stanza)
    return kind == "full" or (kind == "part" and melody)


def _lifted(
    plan: LeadingPlan, clock: StanzaClock, struck: Struck, lifts: Mapping[Fraction, PhraseEnd]
) -> Struck:
    """Released at the lift; a voice that still moves inside the lift gives up half its note."""
    if struck.end_q >= clock.phrase_ends[-1].end_q:
        return _at_stanza_end(plan, clock, struck)
    end = lifts.get(struck.end_q)
    if end is None or not end.phrase.lift_q:
        return struck
    lift_from_q = end.end_q - end.phrase.lift_q
    release_q = lift_from_q if struck.onset_q < lift_from_q else _middle(struck)
    return replace(struck, release_q=min(struck.release_q, release_q))


def _at_stanza_end(plan: LeadingPlan, clock: StanzaClock, struck: Struck) -> Struck:
    hold_q = plan.ending.value.hold_q if clock.last else plan.gap.value.hold_q
    release_q = clock.last_onset_q + hold_q
    return replace(
        struck, release_q=max(release_q, _middle(struck)), end_q=max(release_q, struck.end_q)
    )


def _tied(line: Iterable[Struck], ties: set[Fraction]) -> Iterator[Struck]:
    """Common tones that are held on become one key; a lift between them wins."""
    held: Struck | None = None
    for struck in line:
        if held is not None:
            if held.midi == struck.midi and held.release_q == struck.onset_q:
                joined = replace(struck, onset_q=held.onset_q, written_q=held.written_q)
                held = joined if struck.written_q in ties else None
                if held is None:
                    yield joined
                continue
            yield held
            held = None
        if struck.written_q in ties:
            held = struck
        else:
            yield struck
    if held is not None:
        yield held


def _on_shared_keys(plan: LeadingPlan, line: Sequence[Struck]) -> Iterator[Struck]:
    """Voices that meet on one key: one key, and the melody speaks."""
    melody = plan.hymn.melody.name
    share = Fraction(load("touch")["shared_key.share"])
    by_key = sorted(line, key=lambda struck: (struck.midi, struck.onset_q, -struck.release_q))
    for _, group in groupby(by_key, key=lambda struck: struck.midi):
        held: Struck | None = None
        for struck in group:
            if held is None:
                held = struck
            elif struck.onset_q == held.onset_q:
                held = _together(held, struck)
            elif struck.onset_q > held.release_q:
                yield held
                held = struck
            elif melody in struck.voices:
                early_q = (struck.onset_q - held.onset_q) * (1 - share)
                yield replace(held, release_q=min(held.release_q, held.onset_q + early_q))
                held = replace(struck, release_q=max(struck.release_q, held.release_q))
            elif struck.onset_q == held.release_q and held.voices == struck.voices:
                yield held
                held = struck
            else:
                held = _together(held, struck)
        if held is not None:
            yield held


def _together(held: Struck, struck: Struck) -> Struck:
    voices = held.voices + tuple(voice for voice in struck.voices if voice not in held.voices)
    return replace(
        held,
        voices=voices,
        end_q=max(held.end_q, struck.end_q),
        release_q=max(held.release_q, struck.release_q),
    )
