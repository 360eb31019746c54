"""The introduction as played: its pieces, and how the last joins the first stanza."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from suspirium.plan.clock import PhraseEnd, StanzaClock, stanza_clock
from suspirium.plan.keys import Struck, stanza_keys
from suspirium.plan.model import LeadingPlan
from suspirium.plan.pulse import counted_beat_q
from suspirium.score.sounding import bar_onset_q, time_at
from suspirium.service.introductions import Introduction
from suspirium.service.introductions.model import Piece
from suspirium.tables import load

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Joint:
    """From the introduction's last note to the first of the hymn, in quarters: it is held,
    then it is as silent as between stanzas."""

    hold_q: Fraction
    onset_to_onset_q: Fraction

    @property
    def silence_q(self) -> Fraction:
        return self.onset_to_onset_q - self.hold_q


@dataclass(frozen=True, slots=True)
class Opening:
    """Keys and pulses of an introduction, in quarters from its first note, and its joint.

    `length_q` runs from the first note to the first note of the hymn.
    """

    keys: tuple[Struck, ...]
    pulses_q: tuple[Fraction, ...]
    joint: Joint
    length_q: Fraction
    sounding_q: Fraction


def opening_of(plan: LeadingPlan, introduction: Introduction) -> Opening:
    """The introduction in the plan's tempo, lifts and touch, the metre kept where pieces join."""
    clock = stanza_clock(plan, plan.stanza_numbers[0], last=False)
    every = stanza_keys(plan, clock)
    last = _ending(clock, introduction.pieces[-1])
    joint = joint_of(plan, last)
    keys: list[Struck] = []
    pulses: list[Fraction] = []
    at_q = last_onset_q = ZERO
    for number, piece in enumerate(introduction.pieces, 1):
        end = _ending(clock, piece)
        from_q = _played_q(clock, piece.first_onset_q)
        if number > 1:
            at_q += _to_metre_q(plan, introduction.pieces[number - 2], piece)
        by_q = at_q - from_q
        closes = number == len(introduction.pieces)
        for struck in every:
            if struck.onset_q < end.end_q and struck.release_q > from_q:
                if struck.onset_q < from_q:  # held over from a line that is not played
                    struck = replace(struck, onset_q=from_q)
                keys.append(_moved(struck, by_q, end.end_q, joint if closes else None, end))
        pulses.extend(q + by_q for q in _grid(plan, from_q, end.end_q))
        last_onset_q = end.end_q - end.phrase.written_q + by_q
        at_q = end.end_q + by_q
    length_q = last_onset_q + joint.onset_to_onset_q
    pulses.extend(_rest_of_grid(plan, pulses, length_q))
    return Opening(tuple(keys), tuple(pulses), joint, length_q, last_onset_q + joint.hold_q)


def joint_of(plan: LeadingPlan, last: PhraseEnd) -> Joint:
    """After the stanza's own last line the stanza gap; after another line as much silence, the
    first downbeat on the metre (or the pulse)."""
    gap = plan.gap.value
    if last.final:
        return Joint(gap.hold_q, gap.onset_to_onset_q)
    hymn = plan.hymn
    onset_q = last.phrase.last_onset_q
    time = time_at(hymn, onset_q)
    grid_q = time.bar_q if time is not None else plan.pulse.value.unit_q
    place_q = onset_q - bar_onset_q(hymn, onset_q)
    share = Fraction(str(load("gap")["hold.least_share"]))
    beat_q = counted_beat_q(hymn)
    least_q = ceil(share * last.phrase.written_q / beat_q) * beat_q + gap.silence_q
    whole_q = least_q + (-(place_q + least_q + hymn.pickup_q)) % grid_q
    return Joint(whole_q - gap.silence_q, whole_q)


def _ending(clock: StanzaClock, piece: Piece) -> PhraseEnd:
    return next(e for e in clock.phrase_ends if e.phrase.last_onset_q == piece.last_onset_q)


def _played_q(clock: StanzaClock, written_q: Fraction) -> Fraction:
    return next(
        written_q + shift.by_q for shift in clock.shifts if shift.start_q <= written_q < shift.end_q
    )


def _to_metre_q(plan: LeadingPlan, before: Piece, after: Piece) -> Fraction:
    """What is waited between two pieces so that the metre goes on."""
    hymn = plan.hymn
    time = time_at(hymn, before.last_onset_q)
    if time is None:
        return ZERO
    left_q = before.end_q - bar_onset_q(hymn, before.last_onset_q)
    taken_up_q = after.first_onset_q - bar_onset_q(hymn, after.first_onset_q)
    return (taken_up_q - left_q) % time.bar_q


def _moved(
    struck: Struck, by_q: Fraction, end_q: Fraction, joint: Joint | None, end: PhraseEnd
) -> Struck:
    """A key in its place; what sounds over the end of the piece stops there."""
    release_q = min(struck.release_q, end_q)
    if joint is not None and struck.end_q >= end_q:
        held_q = end_q - end.phrase.written_q + joint.hold_q
        release_q = max(held_q, (struck.onset_q + min(struck.end_q, end_q)) / 2)
    return replace(
        struck,
        onset_q=struck.onset_q + by_q,
        release_q=release_q + by_q,
        end_q=max(release_q, min(struck.end_q, end_q)) + by_q,
    )


def _grid(plan: LeadingPlan, from_q: Fraction, end_q: Fraction) -> Iterator[Fraction]:
    """Pulses in played quarters, aligned with the first downbeat."""
    unit_q = plan.pulse.value.unit_q
    at_q = plan.hymn.pickup_q % unit_q
    at_q += ceil((from_q - at_q) / unit_q) * unit_q
    while at_q < end_q:
        yield at_q
        at_q += unit_q


def _rest_of_grid(
    plan: LeadingPlan, pulses: list[Fraction], length_q: Fraction
) -> Iterator[Fraction]:
    """The pulses of the hold and the silence before the hymn."""
    unit_q = plan.pulse.value.unit_q
    at_q = pulses[-1] + unit_q if pulses else ZERO
    while at_q < length_q:
        yield at_q
        at_q += unit_q
