"""Voices written together as chords, taken apart."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from suspirium.score.mei.events import Event, Head
from suspirium.score.mei.strands import Strand
from suspirium.score.naming import FOUR_PARTS


def take_apart(strands: Sequence[Strand], lowest: bool) -> list[Strand]:
    """The voices of one staff, chords split where the staff carries voices as chords.

    It does when, where its first strand is alone, most of the time has several heads; a
    note of one head is then sung by all. On the `lowest` staff a chord with more heads
    than voices leaves the bottom one its own voice, else the top one.
    """
    if not strands or len(strands) > 2:
        return list(strands)
    upper = strands[0]
    lower = strands[1] if len(strands) == 2 else None
    wanted = min(_heads_each(upper, lower), len(FOUR_PARTS) if lower is None else 2)
    if wanted < 2:
        return list(strands)
    alone = _alone(upper, lower)
    parts = [
        Strand(
            upper.staff,
            tuple(
                _part(event, place, wanted, lowest) if free else event
                for event, free in zip(upper.events, alone, strict=True)
            ),
        )
        for place in range(wanted)
    ]
    if lower is not None:
        parts[1] = _merged(parts[1], lower, alone)
    return parts


def _heads_each(upper: Strand, lower: Strand | None) -> int:
    """How many heads most of the time has where the strand is alone on its staff."""
    time_q: defaultdict[int, Fraction] = defaultdict(Fraction)
    for event in upper.events:
        if event.heads and (lower is None or _absent(lower, event)):
            time_q[len(event.heads)] += event.duration_q
    several = {heads: q for heads, q in time_q.items() if heads > 1}
    if not several or 2 * sum(several.values()) < sum(time_q.values()):
        return 1
    return max(several, key=lambda heads: (several[heads], heads))


def _within(strand: Strand, event: Event) -> Sequence[Event]:
    """The strand's events during an event of another."""
    first = bisect_right(strand.events, event.onset_q, key=lambda other: other.onset_q) - 1
    found = []
    for other in strand.events[max(0, first) :]:
        if other.onset_q >= event.end_q:
            break
        found.append(other)
    return found


def _absent(lower: Strand, event: Event) -> bool:
    return all(other.filler for other in _within(lower, event))


def _alone(upper: Strand, lower: Strand | None) -> list[bool]:
    """For each event of the upper strand, whether it speaks for both voices."""
    if lower is None:
        return [True] * len(upper.events)
    return [all(other.hidden for other in _within(lower, event)) for event in upper.events]


def _part(event: Event, place: int, parts: int, lowest: bool) -> Event:
    """The event as the voice at `place` (0 the highest) of `parts` has it."""
    heads = event.heads[::-1]
    if len(heads) > parts:
        kept = _crowded(heads, place, parts, lowest)
    elif heads:
        kept = (heads[round(place * (len(heads) - 1) / (parts - 1))],)
    else:
        kept = ()
    if place == 0:
        return replace(event, heads=kept[::-1])
    return replace(event, heads=kept[::-1], lent=True, graces=(), verses=())


def _crowded(heads: tuple[Head, ...], place: int, parts: int, lowest: bool) -> tuple[Head, ...]:
    """More heads than voices: an inner voice, or that beside the outer one, takes several."""
    spare = len(heads) - parts
    if lowest:
        return heads[: spare + 1] if place == 0 else (heads[place + spare],)
    return heads[place:] if place == parts - 1 else (heads[place],)


def _merged(split: Strand, lower: Strand, alone: Sequence[bool]) -> Strand:
    """The lower voice: its own events, and what it has from chords where it is silent."""
    own = [event for event in lower.events if not event.hidden]
    lent = [event for event, free in zip(split.events, alone, strict=True) if free]
    events = sorted([*own, *lent], key=lambda event: event.onset_q)
    filled: list[Event] = []
    for event in events:
        before_q = filled[-1].end_q if filled else Fraction(0)
        if event.onset_q > before_q:
            filled.append(Event(before_q, event.onset_q - before_q, hidden=True))
        filled.append(event)
    return Strand(lower.staff, tuple(filled))
