"""The best way to lay words under notes: dynamic programming over syllables and notes.

Every word may have several numbers of syllables; every note may begin a syllable, go on with
the one before, or have two; lines of text should begin where lines of the tune do. The way of
least total cost is found for the whole stanza at once, so that a slip in one line cannot
shift the lines after it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import inf

from suspirium.tables import load
from suspirium.verse.readings import Reading
from suspirium.verse.slots import Slot


@dataclass(frozen=True, slots=True)
class Item:
    """A word to lay: its ways, whether a printed line begins with it, and what it costs to
    sing its first vowel on the last note of the word before (`joined`) or on one of its own
    (`apart`).
    """

    ways: tuple[Reading, ...]
    opens: bool
    joined: float = inf
    apart: float = 0.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A word with the note (index) of each syllable; `joined` says the first shares a note."""

    notes: tuple[int, ...]
    cost: float
    joined: bool


State = tuple[int, bool, bool]
"""Next free note; whether a line of the tune began since the last syllable; whether any did not
begin yet since then (so that a second syllable may share the note)."""


@dataclass(slots=True)
class _Stage:
    """Cheapest ways so far, by state, each with the state and stage it came from."""

    cost: dict[State, float] = field(default_factory=dict)
    back: dict[State, tuple[_Stage, State, int]] = field(default_factory=dict)

    def offer(self, state: State, cost: float, source: _Stage, was: State, note: int) -> None:
        if cost < self.cost.get(state, inf):
            self.cost[state] = cost
            self.back[state] = (source, was, note)


def fit(items: Sequence[Item], slots: Sequence[Slot]) -> tuple[Placed, ...]:
    """For every word the notes of its syllables; empty where there are no notes or words."""
    if not items or not slots:
        return ()
    stage = _Stage({(0, False, False): 0.0})
    ends: list[list[tuple[_Stage, int, float]]] = []
    for item in items:
        _pass_over(stage, slots, between_words=True)
        done = _Stage()
        chains: list[tuple[_Stage, int, float]] = []
        for way in item.ways:
            last = _chain(stage, item, way, slots)
            chains.append((last, way.syllables, way.cost))
            for state, cost in last.cost.items():
                done.offer(state, cost, last, state, -1)
        ends.append(chains)
        stage = done
    _pass_over(stage, slots, between_words=True)
    state = min((s for s in stage.cost if s[0] == len(slots)), key=stage.cost.__getitem__)
    return tuple(_trace(stage, state, ends))


def _pass_over(stage: _Stage, slots: Sequence[Slot], *, between_words: bool) -> None:
    """Notes without a new syllable; between words also whole lines without words."""
    table = load("underlay")
    unsung, early = table.number("cost.unsung_line"), table.number("cost.unsung_early")
    after = _line_ends(slots)
    for at in range(len(slots)):
        for crossed in (False, True):
            for fresh in (False, True):
                state = (at, crossed, fresh)
                cost = stage.cost.get(state)
                if cost is None:
                    continue
                slot = slots[at]
                over = (at + 1, crossed or slot.opens, False)
                stage.offer(over, cost + slot.passes, stage, state, -1)
                if between_words and slot.opens:
                    price = 0.0 if slot.shared else unsung + early * (1 - at / len(slots))
                    stage.offer((after[at], True, False), cost + price, stage, state, -1)


def _line_ends(slots: Sequence[Slot]) -> dict[int, int]:
    """For each note that opens a line, the first note of the next line."""
    opening = [i for i, slot in enumerate(slots) if slot.opens]
    return dict(zip(opening, [*opening[1:], len(slots)], strict=True))


def _chain(stage: _Stage, item: Item, way: Reading, slots: Sequence[Slot]) -> _Stage:
    """The word sung with so many syllables, from every state before it."""
    for number in range(way.syllables):
        following = _Stage()
        if number:
            _pass_over(stage, slots, between_words=False)
        for state, cost in stage.cost.items():
            total = cost + (0.0 if number else way.cost)
            _begin(following, stage, state, total, item, number == 0, slots)
            _share(following, stage, state, total, item, number == 0)
        stage = following
    return stage


def _begin(
    following: _Stage,
    stage: _Stage,
    state: State,
    cost: float,
    item: Item,
    first: bool,
    slots: Sequence[Slot],
) -> None:
    at, crossed, _ = state
    if at == len(slots):
        return
    slot, table = slots[at], load("underlay")
    new_line = crossed or slot.opens
    if first and item.opens:
        cost += 0.0 if new_line else table.number("cost.line_astray")
    elif new_line:
        cost += table.number("cost.line_inside" if first else "cost.word_across")
    if first:
        cost += item.apart
    following.offer((at + 1, False, True), cost + slot.begins, stage, state, at)


def _share(
    following: _Stage, stage: _Stage, state: State, cost: float, item: Item, first: bool
) -> None:
    """A second syllable on the note just begun."""
    at, _, fresh = state
    if not fresh:
        return
    forced = load("underlay").number("cost.two_on_a_note")
    if first:
        cost += min(item.joined, forced)
        if item.opens:
            cost += load("underlay").number("cost.line_astray")
    else:
        cost += forced
    following.offer((at, False, True), cost, stage, state, at - 1)


def _trace(
    stage: _Stage, state: State, ends: Sequence[Sequence[tuple[_Stage, int, float]]]
) -> Iterator[Placed]:
    """The words with their notes, walked back from the end."""
    found: list[Placed] = []
    for chains in reversed(ends):
        by_stage = {id(last): (count, cost) for last, count, cost in chains}
        while id(stage.back[state][0]) not in by_stage:
            stage, state, _ = stage.back[state]
        stage, state, _ = stage.back[state]
        count, cost = by_stage[id(stage)]
        notes: list[int] = []
        shared = False
        while len(notes) < count:
            source, was, note = stage.back[state]
            if note >= 0:
                notes.append(note)
                shared = was[0] == note + 1 and was[2]
            stage, state = source, was
        found.append(Placed(tuple(reversed(notes)), cost, shared))
    return reversed(found)
