"""Parts of the hymn: chords on one staff taken apart, events made notes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from suspirium.score.abc.event import Event
from suspirium.score.model import Note, Voice
from suspirium.score.naming import FOUR_PARTS


@dataclass(frozen=True, slots=True)
class Part:
    """The events of one part and where they are printed."""

    events: Sequence[Event]
    staff: int
    clef: str
    label: str = ""  # the name the source prints
    ident: str = ""  # the voice it comes from


def split_chords(parts: Sequence[Part]) -> list[Part]:
    """Parts written as chords, one to each pitch, where there are fewer than four parts.

    A part counts as chords when most of its notes have several pitches; a note of one
    pitch is then sung by all.
    """
    if len(parts) >= len(FOUR_PARTS):
        return list(parts)
    done: list[Part] = []
    room = len(FOUR_PARTS) - len(parts)
    for part in parts:
        wanted = min(_pitches_each(part.events), room + 1)
        room -= wanted - 1
        done.extend(
            replace(part, events=[_one_of(event, k, wanted) for event in part.events])
            for k in range(wanted)
        )
    return done


def _pitches_each(events: Sequence[Event]) -> int:
    sizes = Counter(len(event.pitches) for event in events if event.pitches)
    several = {size: count for size, count in sizes.items() if size > 1}
    if 2 * sum(several.values()) <= sum(sizes.values()):
        return 1
    return max(several, key=lambda size: (several[size], size))


def _one_of(event: Event, place: int, parts: int) -> Event:
    """The event as the part at `place` (0 the highest) of `parts` has it."""
    if parts == 1 or not event.pitches:
        return event
    high_to_low = event.pitches[::-1]
    if place == parts - 1:
        kept = high_to_low[min(place, len(high_to_low) - 1) :]
    else:
        kept = (high_to_low[min(place, len(high_to_low) - 1)],)
    return replace(event, pitches=kept[::-1], ties=event.ties.intersection(kept))


def as_voice(part: Part, name: str) -> Voice:
    """The part as a voice of the model."""
    return Voice(name, tuple(_note(event) for event in part.events), part.staff, part.clef)


def _note(event: Event) -> Note:
    fermata = False
    signs = event.signs
    if signs:
        fermata = any("ferm" in sign.lower() for sign in signs)
        signs = tuple(sign for sign in signs if "ferm" not in sign.lower())
    return Note(
        onset_q=event.onset_q,
        duration_q=event.duration_q,
        pitches=event.pitches,
        tied=bool(event.ties),
        slurs_begin=event.slurs_begin,
        slurs_end=event.slurs_end,
        beamed=event.beamed,
        fermata=fermata,
        breath=event.breath,
        fingering=event.fingering,
        decorations=signs,
        graces=event.graces,
        hidden=event.hidden,
        tuplet=event.tuplet,
    )
