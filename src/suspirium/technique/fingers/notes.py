"""From a fingering to notes: which finger plays what, and by which means."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from suspirium.tables import load
from suspirium.technique.fingers.fixed import fixed_keys
from suspirium.technique.fingers.matrices import Costs
from suspirium.technique.fingers.moves import move
from suspirium.technique.fingers.names import NONE, NUMBERS, SIDES
from suspirium.technique.fingers.search import Fingering
from suspirium.technique.fingers.segments import Segment
from suspirium.technique.fingers.states import position, rest_places
from suspirium.technique.hand import Side
from suspirium.technique.model import Means, PlayedNote
from suspirium.technique.player import FixedFingers
from suspirium.technique.share import Key, Part

_USUAL: Mapping[Part, Side] = {
    "melody": "right",
    "alto": "right",
    "tenor": "left",
    "bass": "left",
}


@dataclass(slots=True)
class _Found:
    """What the path says about one key, filled in segment by segment."""

    side: Side
    fingers: list[int] = field(default_factory=list)
    changes_q: list[Fraction] = field(default_factory=list)
    means: Means = ""
    let_go: bool = False
    let_go_at: Segment | None = None
    taken_over: bool = False
    shifted: bool = False


def manual_notes(
    keys: Sequence[Key], fingering: Fingering, costs: Costs, fixed: Sequence[FixedFingers] = ()
) -> tuple[PlayedNote, ...]:
    """The notes of a fingering in the order of `keys`."""
    found = {index: _Found(_USUAL[key.part]) for index, key in enumerate(keys)}
    before: dict[int, int] = {}
    for segment, struck, ended in zip(
        fingering.segments, fingering.struck, fingering.ended, strict=True
    ):
        now = dict(zip(segment.keys, struck, strict=True))
        new = [key for key, fresh in zip(segment.keys, segment.new, strict=True) if fresh]
        _strike(found, now, new)
        _join(keys, costs, found, before, now, new)
        _mark_shifts(keys, costs, found, before, now, new)
        for key, finger in now.items():
            if finger == NONE and found[key].fingers and found[key].let_go_at is None:
                found[key].let_go_at = segment
        before = dict(zip(segment.keys, ended, strict=True))
        for key, finger in before.items():
            if finger != now[key] and finger != NONE:
                found[key].fingers.append(NUMBERS[finger])
                found[key].changes_q.append(segment.onset_q)
    known = fixed_keys(keys, fixed)
    return tuple(_note(key, found[index], known.get(index)) for index, key in enumerate(keys))


def _strike(found: Mapping[int, _Found], now: Mapping[int, int], new: Sequence[int]) -> None:
    for key in new:
        if now[key] != NONE:
            found[key].side = SIDES[now[key]]
            found[key].fingers.append(NUMBERS[now[key]])


def _join(
    keys: Sequence[Key],
    costs: Costs,
    found: Mapping[int, _Found],
    before: Mapping[int, int],
    now: Mapping[int, int],
    new: Sequence[int],
) -> None:
    for old, finger in before.items():
        if old in now or finger == NONE:
            continue
        for key in new:
            if now[key] == NONE:
                continue
            one_line = bool(set(keys[old].voices) & set(keys[key].voices))
            if SIDES[finger] != SIDES[now[key]]:
                gap_s = keys[key].onset_s - keys[old].release_s
                near = gap_s < load("hands").number("move.least_s")
                found[key].taken_over |= one_line and near
                continue
            means = _means(keys, costs, (old, finger), (key, now[key]), one_line)
            found[old].let_go |= means == "break"
            if one_line and means:
                found[key].means = means


def _means(
    keys: Sequence[Key],
    costs: Costs,
    before: tuple[int, int],
    after: tuple[int, int],
    one_line: bool,
) -> Means:
    """How one key is reached from another: "" where nothing is to be said."""
    old, key = keys[before[0]], keys[after[0]]
    gap_s = key.onset_s - old.release_s
    way = move(
        costs.reaches,
        SIDES[after[1]],
        (old.midi, NUMBERS[before[1]]),
        (key.midi, NUMBERS[after[1]]),
        one_line=one_line,
    )
    if gap_s > 0 and gap_s >= way.needs_s:
        return ""
    affordable = way.needs_s - gap_s <= load("hands").number("move.most_share") * old.length_s
    broken = costs.break_points[old.rank]
    if way.points is None or (affordable and broken < way.points):
        return "break"
    return way.means


def _mark_shifts(
    keys: Sequence[Key],
    costs: Costs,
    found: Mapping[int, _Found],
    before: Mapping[int, int],
    now: Mapping[int, int],
    new: Sequence[int],
) -> None:
    least = load("fingering").number("show.shift")
    sides: tuple[Side, Side] = ("left", "right")
    for side in sides:
        old, here = _place(keys, costs, before, side), _place(keys, costs, now, side)
        if here is not None and (old is None or abs(here - old) >= least):
            for key in new:
                if now[key] != NONE and SIDES[now[key]] == side:
                    found[key].shifted = True


def _place(keys: Sequence[Key], costs: Costs, held: Mapping[int, int], side: Side) -> float | None:
    """Where a hand is: its thumb as its fingers at rest would have it."""
    rest = rest_places(costs.reaches)
    sign = 1.0 if side == "right" else -1.0
    thumbs = [
        position(keys[key].midi) - sign * rest[NUMBERS[finger] - 1]
        for key, finger in held.items()
        if finger != NONE and SIDES[finger] == side
    ]
    return sum(thumbs) / len(thumbs) if thumbs else None


def _note(key: Key, found: _Found, fixed: FixedFingers | None) -> PlayedNote:
    played = tuple(found.fingers)
    kept = fixed is not None and (played[:1], played[-1:]) == (
        fixed.fingers[:1],
        fixed.fingers[-1:],
    )
    gone = found.let_go_at
    return PlayedNote(
        voice=key.voices[0],
        voices=key.voices,
        written_q=key.written_q,
        onset_q=key.onset_q,
        release_q=key.release_q if gone is None else gone.onset_q,
        onset_s=key.onset_s,
        release_s=key.release_s if gone is None else gone.onset_s,
        midi_pitch=key.midi,
        plays=found.side,
        fingers=played,
        changes_q=tuple(found.changes_q),
        means=found.means if played else "left out",
        released_early=found.let_go or gone is not None,
        taken_over=found.taken_over,
        shifted=found.shifted,
        fixed=kept,
    )
