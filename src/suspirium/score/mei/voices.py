"""Strands and marks made voices of the model."""

from __future__ import annotations

from collections.abc import Sequence

from suspirium.score.decorations import ordered
from suspirium.score.mei.events import Event
from suspirium.score.mei.marks import Marks
from suspirium.score.mei.strands import Strand
from suspirium.score.model import Note, Voice


def take_breaths(strands: Sequence[Strand], marks: Marks) -> None:
    """Tie the breath marks that stand at a place to the events they follow.

    A mark below the staff belongs to its lowest voice, any other to its highest; the
    place is at or shortly before the end of the note.
    """
    for mark in marks.breaths:
        ending = [
            event
            for strand in strands
            if strand.staff == mark.staff
            for event in strand.events
            if event.heads and event.onset_q < mark.onset_q <= event.end_q
        ]
        if ending:
            marks.breathing.add(ending[-1 if mark.below else 0].idents[0])


def as_voice(strand: Strand, name: str, staff: int, clef: str, marks: Marks) -> Voice:
    """The voice with all its notes."""
    begins, ends = _slurs(strand, marks)
    notes = tuple(
        _note(event, begins[index], ends[index], marks) for index, event in enumerate(strand.events)
    )
    return Voice(name, notes, staff, clef)


def _slurs(strand: Strand, marks: Marks) -> tuple[list[int], list[int]]:
    """Slurs that begin and end at each event; those that leave the voice don't count."""
    at = {ident: i for i, event in enumerate(strand.events) for ident in event.idents}
    begins, ends = [0] * len(strand.events), [0] * len(strand.events)
    for start, end in marks.slurs:
        first, last = at.get(start, -1), at.get(end, -1)
        if 0 <= first < last:
            begins[first] += 1
            ends[last] += 1
    return begins, ends


def _note(event: Event, begins: int, ends: int, marks: Marks) -> Note:
    own = [head.ident for head in event.heads]
    if not event.lent:
        own = list(event.idents)
    fingering = tuple(text for ident in own for text in marks.fingerings.get(ident, ()))
    signs = {sign for ident in own for sign in marks.signs.get(ident, ())}
    return Note(
        event.onset_q,
        event.duration_q,
        tuple(dict.fromkeys(head.pitch for head in event.heads)),
        tied=any(head.ident in marks.ties for head in event.heads),
        slurs_begin=begins,
        slurs_end=ends,
        beamed=event.beamed,
        fermata=any(ident in marks.fermatas for ident in event.idents),
        breath=any(ident in marks.breathing for ident in event.idents),
        fingering=fingering,
        decorations=ordered(signs | set(event.signs)),
        graces=event.graces,
        hidden=event.hidden,
        tuplet=event.tuplet,
    )
