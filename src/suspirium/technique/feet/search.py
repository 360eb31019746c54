"""The cheapest pedalling: dynamic programming over what both feet do and did.

A state says for each foot which key it plays or played last, with toe or heel, and since
when it is free; so a foot that rests has time to be placed ahead. A foot that has not
played for some notes stands ready anywhere.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from suspirium.tables import load
from suspirium.technique.feet.board import Pedalboard
from suspirium.technique.feet.moves import beside, key_points, move_s, way
from suspirium.technique.fingers.segments import Segment, segments_of
from suspirium.technique.model import Foot, FootPart, Tread
from suspirium.technique.share import Key

FEET: tuple[Foot, Foot] = ("left", "right")
PARTS: tuple[FootPart, FootPart] = ("toe", "heel")
TREADS = tuple(Tread(foot, part) for foot in FEET for part in PARTS)


class Stand(NamedTuple):
    """What one foot plays (`holds`) or played last, and when it came or comes free."""

    key: int
    part: FootPart
    holds: bool
    free_s: float


State = tuple[Stand | None, Stand | None]
READY: State = (None, None)


class Trace(NamedTuple):
    """The cheapest way to a state: points, the trace before, and what this segment did."""

    points: float
    before: Trace | None
    struck: tuple[tuple[int, Tread | None], ...]
    replaced: tuple[tuple[int, Tread], ...]


@dataclass(frozen=True, slots=True)
class Pedalling:
    """Treads by key in the order of playing, none where the key is left out; and the onsets
    after which each substitution is made."""

    points: float
    treads: Mapping[int, tuple[Tread, ...]]
    changes_q: Mapping[int, tuple[Fraction, ...]]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Points by key for striking it otherwise than with the wanted tread."""

    treads: Mapping[int, tuple[Tread, float]] = field(default_factory=dict)

    def points(self, key: int, tread: Tread | None) -> float:
        wish = self.treads.get(key)
        return wish[1] if wish is not None and tread != wish[0] else 0.0


NOTHING = Wanted()


@dataclass(frozen=True, slots=True)
class Rules:
    """The numbers of ``tables/pedalling.toml`` that the search asks for at every step."""

    break_points: float
    most_share: float
    left_out: float
    left_out_doubled: float
    substitute_s: float
    toe_toe: float
    toe_heel: float
    least_s: float
    memory_s: float


def rules() -> Rules:
    """The numbers from the table."""
    table = load("pedalling")
    return Rules(
        break_points=table.number("break.points"),
        most_share=table.number("move.most_share"),
        left_out=table.number("left_out.points"),
        left_out_doubled=table.number("left_out.doubled"),
        substitute_s=table.number("substitution.least_s"),
        toe_toe=table.number("substitution.toe_toe"),
        toe_heel=table.number("substitution.toe_heel"),
        least_s=table.number("move.least_s"),
        memory_s=table.number("memory.seconds"),
    )


def pedal(keys: Sequence[Key], board: Pedalboard, wanted: Wanted = NOTHING) -> Pedalling:
    """The cheapest pedalling of `keys` (in order of onset, within the board's compass).

    Keys are left out only where the line can't be played whole.
    """
    segments = segments_of(keys)
    doubled = frozenset(
        key
        for segment in segments
        for key in segment.keys
        if any(keys[key].doubles(keys[other]) for other in segment.keys)
    )
    for leaving_out in (False, True):
        search = _Search(keys, board, wanted, rules(), leaving_out, doubled)
        traces: dict[State, Trace] = {READY: Trace(0.0, None, (), ())}
        for segment in segments:
            traces = search.after(traces, segment)
        if traces:
            break
    return _read(min(traces.values(), key=lambda trace: trace.points), segments)


def _read(trace: Trace, segments: Sequence[Segment]) -> Pedalling:
    treads: dict[int, list[Tread]] = {}
    changes: dict[int, list[Fraction]] = defaultdict(list)
    steps = [trace]
    while (before := steps[-1].before) is not None:
        steps.append(before)
    for segment, step in zip(segments, reversed(steps[:-1]), strict=True):
        for key, tread in step.struck:
            treads[key] = [tread] if tread else []
        for key, tread in step.replaced:
            treads[key].append(tread)
            changes[key].append(segment.onset_q)
    return Pedalling(
        trace.points,
        {key: tuple(found) for key, found in treads.items()},
        {key: tuple(found) for key, found in changes.items()},
    )


@dataclass(frozen=True, slots=True)
class _Search:
    keys: Sequence[Key]
    board: Pedalboard
    wanted: Wanted
    rules: Rules
    leaving_out: bool
    doubled: frozenset[int]
    comes: dict[tuple[Stand | None, int, int], float | None] = field(default_factory=dict)
    stays: dict[tuple[Stand | None, int, int], float | None] = field(default_factory=dict)

    def after(self, traces: Mapping[State, Trace], segment: Segment) -> dict[State, Trace]:
        """The cheapest ways to all states at the end of `segment`."""
        found: dict[State, Trace] = {}
        new = tuple(k for k, fresh in zip(segment.keys, segment.new, strict=True) if fresh)
        for state, trace in self._forgotten(traces, segment).items():
            for struck, points, treads in self._strikes(state, new):
                _keep(found, struck, trace.points + points, trace, treads, ())
        for state, trace in list(found.items()):
            for other, points, replaced in self._substitutions(state, segment):
                total = trace.points + points
                _keep(found, other, total, trace.before, trace.struck, (replaced,))
        return found

    def _forgotten(self, traces: Mapping[State, Trace], segment: Segment) -> dict[State, Trace]:
        """The states as the segment begins; of those that became one, the cheapest."""
        found: dict[State, Trace] = {}
        for state, trace in traces.items():
            kept = self._kept(state, segment)
            if kept not in found or trace.points < found[kept].points:
                found[kept] = trace
        return found

    def _kept(self, state: State, segment: Segment) -> State:
        """The feet as the segment begins: released keys no longer held, old ones forgotten."""
        return self._seen(state[0], segment), self._seen(state[1], segment)

    def _seen(self, stand: Stand | None, segment: Segment) -> Stand | None:
        if stand is None:
            return None
        if stand.holds and stand.key in segment.keys:
            return stand
        if segment.onset_s - stand.free_s >= self.rules.memory_s:
            return None
        return stand._replace(holds=False) if stand.holds else stand

    def _strikes(
        self, state: State, new: tuple[int, ...]
    ) -> Iterator[tuple[State, float, tuple[tuple[int, Tread | None], ...]]]:
        """All ways of striking the new keys, one after another."""
        if not new:
            yield state, 0.0, ()
            return
        key, rest = new[0], new[1:]
        for other, points, tread in self._ways(state, key):
            if not rest:
                yield other, points, ((key, tread),)
                continue
            for last, more, treads in self._strikes(other, rest):
                yield last, points + more, ((key, tread), *treads)

    def _ways(self, state: State, key: int) -> Iterator[tuple[State, float, Tread | None]]:
        if self.leaving_out:
            yield state, self._left_out(key) + self.wanted.points(key, None), None
        left, right = state
        for number, tread in enumerate(TREADS):
            own, other = (left, right) if number < 2 else (right, left)
            came = self._come(own, key, number)
            if came is None:
                continue
            together = self._together(other, key, number)
            if together is not None:
                yield self._placed(state, key, tread), came + together, tread

    def _left_out(self, key: int) -> float:
        """An octave doubling is missed less than a note of its own."""
        return self.rules.left_out_doubled if key in self.doubled else self.rules.left_out

    def _placed(self, state: State, key: int, tread: Tread) -> State:
        stand = Stand(key, tread.part, True, self.keys[key].release_s)
        return (stand, state[1]) if tread.foot == "left" else (state[0], stand)

    def _come(self, stand: Stand | None, key: int, number: int) -> float | None:
        """Points of this foot's striking a key from where it is; None where it can't."""
        case = stand, key, number
        if case not in self.comes:
            self.comes[case] = self._coming(stand, key, TREADS[number])
        return self.comes[case]

    def _coming(self, stand: Stand | None, key: int, tread: Tread) -> float | None:
        own = key_points(self.keys[key].midi, tread.foot, tread.part)
        if own is None:
            return None
        own += self.wanted.points(key, tread)
        if stand is None:
            return own
        if stand.holds:
            return None
        on_the_way = self._moving(stand, key, tread)
        return None if on_the_way is None else own + on_the_way

    def _moving(self, stand: Stand, key: int, tread: Tread) -> float | None:
        old, after = self.keys[stand.key], self.keys[key]
        gap_s = after.onset_s - stand.free_s
        found = way(self.board, tread.foot, old.midi, stand.part, after.midi, tread.part)
        if gap_s >= found.needs_s and old.midi != after.midi:
            return 0.0
        missing_s = found.needs_s - gap_s
        own_release = stand.free_s == old.release_s
        if not own_release or missing_s > self.rules.most_share * old.length_s:
            return found.points
        broken = self.rules.break_points
        return broken if found.points is None else min(found.points, broken)

    def _together(self, other: Stand | None, key: int, number: int) -> float | None:
        """The other foot beside this one, if it is still at its key."""
        case = other, key, number
        if case not in self.stays:
            self.stays[case] = self._staying(other, key, TREADS[number])
        return self.stays[case]

    def _staying(self, other: Stand | None, key: int, tread: Tread) -> float | None:
        if other is None:
            return 0.0
        at_s = self.keys[key].onset_s
        if not other.holds and at_s - other.free_s >= self.rules.least_s:
            return 0.0
        midi, there = self.keys[key].midi, self.keys[other.key].midi
        if tread.foot == "left":
            return beside(midi, there, tread.part, other.part)
        return beside(there, midi, other.part, tread.part)

    def _substitutions(
        self, state: State, segment: Segment
    ) -> Iterator[tuple[State, float, tuple[int, Tread]]]:
        """One silent change on a key that lasts to the segment's end."""
        if segment.length_s < self.rules.substitute_s:
            return
        for at, stand in enumerate(state):
            if stand is None or not stand.holds:
                continue
            if not segment.lasting[segment.keys.index(stand.key)]:
                continue
            for tread in TREADS:
                points = self._substitute(state, at, stand, tread, segment)
                if points is not None:
                    yield self._handed(state, at, stand, tread, segment), points, (stand.key, tread)

    def _substitute(
        self, state: State, at: int, stand: Stand, tread: Tread, segment: Segment
    ) -> float | None:
        midi = self.keys[stand.key].midi
        own = key_points(midi, tread.foot, tread.part)
        if own is None:
            return None
        if tread.foot == FEET[at]:
            return None if tread.part == stand.part else self.rules.toe_heel + own
        other = state[1 - at]
        if other is not None:
            if other.holds:
                return None
            end_s = segment.onset_s + segment.length_s
            needs_s = move_s(self.board, self.keys[other.key].midi, midi) + self.rules.substitute_s
            if end_s - other.free_s < needs_s:
                return None
        toes = tread.part == stand.part == "toe"
        return own + (self.rules.toe_toe if toes else self.rules.toe_heel)

    def _handed(self, state: State, at: int, stand: Stand, tread: Tread, segment: Segment) -> State:
        taken = stand._replace(part=tread.part)
        if tread.foot == FEET[at]:
            return (taken, state[1]) if at == 0 else (state[0], taken)
        freed = stand._replace(holds=False, free_s=segment.onset_s + self.rules.substitute_s)
        return (freed, taken) if at == 0 else (taken, freed)


def _keep(
    found: dict[State, Trace],
    state: State,
    points: float,
    before: Trace | None,
    struck: tuple[tuple[int, Tread | None], ...],
    replaced: tuple[tuple[int, Tread], ...],
) -> None:
    old = found.get(state)
    if old is None or points < old.points:
        found[state] = Trace(points, before, struck, replaced)
