"""The clock of one stanza: from the written score to what is played, from beats to seconds.

Played time (``played_q``) counts quarters from the stanza's first note with repeats
unfolded; stretches and broadening only change how long those quarters last.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from suspirium.plan.model import LeadingPlan, Phrase
from suspirium.score.order import Passage, passages
from suspirium.units import quarters_to_seconds


@dataclass(frozen=True, slots=True)
class PhraseEnd:
    """One phrase end as played: where its last note stops, and whether the stanza ends."""

    phrase: Phrase
    end_q: Fraction
    final: bool


@dataclass(frozen=True, slots=True)
class Shift:
    """A passage as played: written `start_q` to `end_q` moved by `by_q`."""

    start_q: Fraction
    end_q: Fraction
    by_q: Fraction


@dataclass(frozen=True, slots=True)
class StanzaClock:
    """Times of one stanza. `slower_from_q` is where a broadening begins, by `slower` more."""

    stanza: int
    last: bool
    quarter_bpm: float
    shifts: tuple[Shift, ...]
    phrase_ends: tuple[PhraseEnd, ...]
    stretches: tuple[tuple[Fraction, Fraction], ...]  # (played_q, stretch_q)
    slower_from_q: Fraction
    slower: float

    def seconds(self, played_q: Fraction) -> float:
        """Seconds from the stanza's first note to `played_q`."""
        index = bisect_right(self.stretches, played_q, key=lambda stretch: stretch[0])
        longer_q = sum((by_q for _, by_q in self.stretches[:index]), Fraction(0))
        plain_s = quarters_to_seconds(played_q + longer_q, self.quarter_bpm)
        after_q = max(Fraction(0), played_q - self.slower_from_q)
        return plain_s + self.slower * quarters_to_seconds(after_q, self.quarter_bpm)

    @property
    def last_onset_q(self) -> Fraction:
        """Played place of the stanza's last note."""
        final = self.phrase_ends[-1]
        return final.end_q - final.phrase.written_q


def stanza_clock(
    plan: LeadingPlan, stanza: int, *, last: bool, quarter_bpm: float | None = None
) -> StanzaClock:
    """The clock of `stanza`; `last` is the hymn's last one, which may broaden."""
    shifts = tuple(_shifts(plan, stanza))
    ends = tuple(_phrase_ends(plan, shifts))
    stretches = tuple(sorted(_longer(ends, stanza)))
    return StanzaClock(
        stanza=stanza,
        last=last,
        quarter_bpm=quarter_bpm or plan.tempo.value.quarter_bpm,
        shifts=shifts,
        phrase_ends=ends,
        stretches=stretches,
        slower_from_q=ends[-1].phrase.first_onset_q + shifts[-1].by_q,
        slower=plan.ending.value.broaden if last else 0.0,
    )


def _longer(ends: tuple[PhraseEnd, ...], stanza: int) -> Iterator[tuple[Fraction, Fraction]]:
    """Where time is added: a held fermata before the release, a stretch into the silence."""
    for end in ends:
        if end.final:
            continue
        if end.phrase.added_q:
            yield end.end_q - end.phrase.lift_q, end.phrase.added_q
        if end.phrase.stretch_q and end.phrase.breath(stanza) != "carry":
            yield end.end_q, end.phrase.stretch_q


def _shifts(plan: LeadingPlan, stanza: int) -> Iterator[Shift]:
    played_q = Fraction(0)
    for part in _parts(plan, stanza):
        yield Shift(part.start_q, part.end_q, played_q - part.start_q)
        played_q += part.duration_q


def _parts(plan: LeadingPlan, stanza: int) -> tuple[Passage, ...]:
    """The passages of one stanza; straight through where repeats or words lead nowhere."""
    for parts in (passages(plan.hymn, stanza), passages(plan.hymn)):
        if any(part.start_q <= p.last_onset_q < part.end_q for part in parts for p in plan.phrases):
            return parts
    return (Passage(Fraction(0), plan.hymn.end_q, 1),)


def _phrase_ends(plan: LeadingPlan, shifts: tuple[Shift, ...]) -> Iterator[PhraseEnd]:
    found = [
        (phrase, phrase.last_onset_q + phrase.written_q + shift.by_q)
        for shift in shifts
        for phrase in plan.phrases
        if shift.start_q <= phrase.last_onset_q < shift.end_q
    ]
    for index, (phrase, end_q) in enumerate(found):
        final = index == len(found) - 1
        if not final and phrase is plan.phrases[-1]:
            phrase = plan.before_repeat or phrase
        yield PhraseEnd(phrase, end_q, final)
