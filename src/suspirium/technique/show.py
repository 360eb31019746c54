"""Which fingers and feet are worth printing: all of them, or only where they help."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import zip_longest
from typing import Literal

from suspirium.technique.model import PlayedNote

Show = Literal["none", "helpful", "all"]
SHOWS: tuple[Show, ...] = ("none", "helpful", "all")


def shown(
    notes: Sequence[PlayedNote], show: Show, starts_q: Iterable[Fraction] = ()
) -> tuple[PlayedNote, ...]:
    """The notes to print marks on, each place of the written score once.

    "helpful": a hand's new position, a substitution, a crossing or glide, a voice that changes
    hands, what is left out, what the score or the player fixed, feet that don't simply alternate
    on their toes, and the first strokes of every line (`starts_q`).
    """
    if show == "none":
        return ()
    once = tuple(_first_time(notes))
    if show == "all":
        return once
    opening = _openings(once, tuple(starts_q))
    helpful = {place(note) for note in once if _helps(note) or place(note) in opening}
    helpful |= set(_unexpected_feet(once))
    return tuple(note for note in once if place(note) in helpful)


def place(note: PlayedNote) -> tuple[Fraction, str, int]:
    """What tells a note of the written score from all others."""
    return note.written_q, note.voice, note.midi_pitch


def _first_time(notes: Sequence[PlayedNote]) -> Iterator[PlayedNote]:
    seen = set()
    for note in notes:
        if place(note) not in seen:
            seen.add(place(note))
            yield note


def _helps(note: PlayedNote) -> bool:
    return (
        note.left_out
        or note.fixed
        or note.taken_over
        or bool(note.changes_q)
        or (note.plays != "pedal" and note.shifted)
        or note.means in ("pass", "cross", "glide", "slide")
        or bool(note.crosses)
    )


def _openings(
    notes: Sequence[PlayedNote], starts_q: Sequence[Fraction]
) -> set[tuple[Fraction, str, int]]:
    """Where each player begins each line."""
    found = set()
    for start_q, end_q in zip_longest(starts_q, starts_q[1:]):
        inside = [
            note
            for note in notes
            if note.written_q >= start_q and (end_q is None or note.written_q < end_q)
        ]
        for plays in ("right", "left", "pedal"):
            own = [note for note in inside if note.plays == plays]
            first_q = min((note.written_q for note in own), default=None)
            found |= {place(note) for note in own if note.written_q == first_q}
    return found


def _unexpected_feet(notes: Sequence[PlayedNote]) -> Iterator[tuple[Fraction, str, int]]:
    """Heels, and a foot that plays twice in a row on different keys."""
    before: PlayedNote | None = None
    for note in notes:
        if note.plays != "pedal" or note.left_out:
            continue
        same_key = before is not None and before.midi_pitch == note.midi_pitch
        again = before is not None and before.treads[-1].foot == note.foot
        if not same_key and (note.part == "heel" or again):
            yield place(note)
        before = note
