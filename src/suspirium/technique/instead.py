"""What to do with a note that can't be reached: a suggestion that has been tried.

A note that sounds in another octave too may go; another is taken an octave up or down where
melody and bass stay the outermost voices and the hand or foot can then play everything around.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from suspirium.technique.feet.board import Pedalboard
from suspirium.technique.feet.search import pedal
from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.names import indices
from suspirium.technique.fingers.search import cheapest, steps_of
from suspirium.technique.fingers.wishes import NO_WISHES
from suspirium.technique.hand import Side
from suspirium.technique.model import PlayedNote
from suspirium.technique.share import Key

_AROUND_Q = Fraction(2)
Playable = Callable[[Sequence[Key]], bool]


def by_hands(costs: Costs, sides: tuple[Side, ...]) -> Playable:
    """Whether these hands can play all of some keys."""

    def playable(keys: Sequence[Key]) -> bool:
        return cheapest(steps_of(keys, costs, indices(sides)), NO_WISHES) is not None

    return playable


def by_feet(board: Pedalboard) -> Playable:
    """Whether two feet can play all of some keys on this board."""

    def playable(keys: Sequence[Key]) -> bool:
        inside = all(board.lowest <= key.midi <= board.highest for key in keys)
        return inside and all(pedal(keys, board).treads.values())

    return playable


@dataclass(frozen=True, slots=True)
class Party:
    """The keys that some hands or feet share, their notes in the same order, and the test of
    what these can play."""

    keys: Sequence[Key]
    notes: Sequence[PlayedNote]
    playable: Playable


def suggestions(parties: Sequence[Party]) -> Mapping[PlayedNote, str]:
    """What to do with every note that is left out, or let go before its time."""
    everybody = [pair for party in parties for pair in zip(party.keys, party.notes, strict=True)]
    sounding = [key for key, note in everybody if not note.left_out]
    found = {}
    for party in parties:
        pairs = list(zip(party.keys, party.notes, strict=True))
        played = [key for key, note in pairs if not note.left_out]
        for key, note in pairs:
            if note.left_out:
                found[note] = instead(key, played, sounding, party.playable)
            elif note.release_q < key.release_q:
                found[note] = "this note can't be held to its end: let it go as the others move on"
    return found


def instead(key: Key, played: Sequence[Key], sounding: Sequence[Key], playable: Playable) -> str:
    """What to do with `key` in a sentence.

    `played` are the keys that the same hands or feet do play, `sounding` those of everybody.
    """
    with_it = [other for other in sounding if other.onset_q <= key.onset_q < other.release_q]
    if any((other.midi - key.midi) % 12 == 0 for other in with_it):
        return (
            "this note can't be reached with the others: leave it out, it sounds in another octave"
        )
    start_q, end_q = key.onset_q - _AROUND_Q, key.release_q + _AROUND_Q
    around = [other for other in played if other.release_q > start_q and other.onset_q < end_q]
    for midi in _octaves(key, with_it):
        moved = sorted([*around, replace(key, midi=midi)], key=lambda k: (k.onset_q, k.midi))
        if playable(moved):
            way = "up" if midi > key.midi else "down"
            return f"this note can't be reached with the others: take it an octave {way}"
    return "this note can't be reached with the others: leave it out"


def _octaves(key: Key, with_it: Sequence[Key]) -> list[int]:
    """The key's octaves, nearest to the others first, that leave the outer voices outermost."""
    if key.part == "melody" or not with_it:
        return []
    lowest, highest = min(k.midi for k in with_it), max(k.midi for k in with_it)
    middle = (lowest + highest) / 2
    inside = [
        midi
        for midi in (key.midi + 12, key.midi - 12)
        if midi < highest and (midi < lowest if key.part == "bass" else midi > lowest)
    ]
    return sorted(inside, key=lambda midi: abs(midi - middle))
