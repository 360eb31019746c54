"""From a pedalling to notes: the board's compass, likeness, and how each key is reached."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Literal

from suspirium.tables import load
from suspirium.technique.feet.board import Pedalboard, naturals
from suspirium.technique.feet.moves import move_s, way
from suspirium.technique.feet.search import Pedalling, Wanted, pedal
from suspirium.technique.model import Means, PlayedNote, Tread
from suspirium.technique.player import FixedTread
from suspirium.technique.share import Key

_AROUND = 2


def within(keys: Sequence[Key], board: Pedalboard) -> tuple[tuple[Key, ...], tuple[int, ...]]:
    """The keys moved by octaves into the board's compass, and by how many octaves each."""
    octaves = tuple(_octaves(key.midi, board) for key in keys)
    moved = (replace(key, midi=key.midi + 12 * n) for key, n in zip(keys, octaves, strict=True))
    return tuple(moved), octaves


def _octaves(midi: int, board: Pedalboard) -> int:
    if midi < board.lowest:
        return -((midi - board.lowest) // 12)
    if midi > board.highest:
        return -((midi - board.highest + 11) // 12)
    return 0


def tread(keys: Sequence[Key], board: Pedalboard, fixed: Iterable[FixedTread] = ()) -> Pedalling:
    """The cheapest pedalling, the player's own feet kept and like music alike."""
    kept = _fixed(keys, fixed)
    first = pedal(keys, board, Wanted(kept))
    like = _like(keys, first)
    if not like:
        return first
    return pedal(keys, board, Wanted({**like, **kept}))


def _fixed(keys: Sequence[Key], fixed: Iterable[FixedTread]) -> dict[int, tuple[Tread, float]]:
    points = load("pedalling").number("fixed.other")
    wanted = {(one.voice, one.written_q): one.tread for one in fixed}
    return {
        index: (wanted[voice, key.written_q], points)
        for index, key in enumerate(keys)
        for voice in key.voices
        if (voice, key.written_q) in wanted
    }


def _like(keys: Sequence[Key], first: Pedalling) -> dict[int, tuple[Tread, float]]:
    """The first pass's feet wished for wherever the same notes come again."""
    points = load("pedalling").number("like.other")
    contents = [(key.midi, round(key.length_s, 3)) for key in keys]
    seen: dict[tuple[tuple[int, float], ...], int] = {}
    found = {}
    for index in range(_AROUND, len(keys) - _AROUND):
        around = tuple(contents[index - _AROUND : index + _AROUND + 1])
        earlier = seen.setdefault(around, index)
        if earlier != index and first.treads[earlier]:
            found[index] = first.treads[earlier][0], points
    return found


def pedal_notes(
    keys: Sequence[Key],
    pedalling: Pedalling,
    board: Pedalboard,
    octaves: Sequence[int],
    fixed: Iterable[FixedTread] = (),
) -> tuple[PlayedNote, ...]:
    """The notes of a pedalling in the order of `keys`, at their written pitches."""
    kept = _fixed(keys, fixed)
    notes = [_note(key, pedalling, i, octaves[i]) for i, key in enumerate(keys)]
    for index in range(len(keys)):
        played = pedalling.treads[index]
        if not played:
            continue
        is_fixed = index in kept and kept[index][0] == played[0]
        notes[index] = replace(notes[index], fixed=is_fixed)
        _reached(keys, pedalling, board, notes, index)
    return tuple(notes)


def _reached(
    keys: Sequence[Key],
    pedalling: Pedalling,
    board: Pedalboard,
    notes: list[PlayedNote],
    index: int,
) -> None:
    """Marks how a key is reached from the foot's own last key, and whether feet cross."""
    own, key = pedalling.treads[index][0], keys[index]
    notes[index] = replace(notes[index], ready_s=_ready_s(keys, pedalling, board, index))
    for earlier in range(index - 1, -1, -1):
        last = pedalling.treads[earlier][-1:]
        if last and last[0].foot == own.foot:
            means = _means(keys[earlier], last[0], key, own, board)
            notes[index] = replace(notes[index], means=means)
            if means == "break":
                notes[earlier] = replace(notes[earlier], released_early=True)
            break
        if any(tread.foot == own.foot for tread in pedalling.treads[earlier]):
            break
    if index:
        notes[index] = replace(notes[index], crosses=_crosses(keys, pedalling, index))


def _ready_s(
    keys: Sequence[Key], pedalling: Pedalling, board: Pedalboard, index: int
) -> float | None:
    """When the foot can stand over its key at the earliest; None where it has no time to wait."""
    table = load("pedalling")
    own, key = pedalling.treads[index][0], keys[index]
    for earlier in range(index - 1, -1, -1):
        treads = pedalling.treads[earlier]
        if all(tread.foot != own.foot for tread in treads):
            continue
        old = keys[earlier]
        free_s = old.release_s
        if treads[-1].foot != own.foot:  # the other foot took the key over
            free_s = old.onset_s + table.number("substitution.least_s")
        ready_s = free_s + move_s(board, old.midi, key.midi)
        return ready_s if key.onset_s - ready_s >= table.number("ahead.least_s") else None
    return keys[0].onset_s


def _means(old: Key, last: Tread, key: Key, own: Tread, board: Pedalboard) -> Means:
    gap_s = key.onset_s - old.release_s
    found = way(board, own.foot, old.midi, last.part, key.midi, own.part)
    if gap_s >= found.needs_s or old.midi == key.midi:
        return ""
    broken = load("pedalling").number("break.points")
    affordable = found.needs_s - gap_s <= (
        load("pedalling").number("move.most_share") * old.length_s
    )
    if found.points is None or (affordable and broken < found.points):
        return "break"
    return found.means


def _crosses(
    keys: Sequence[Key], pedalling: Pedalling, index: int
) -> Literal["", "front", "behind"]:
    """Whether a foot crosses the other, still at its key: in front towards a sharp (it lies
    farther away), else behind."""
    own, key = pedalling.treads[index][0], keys[index]
    least_s = load("pedalling").number("move.least_s")
    for earlier in range(index - 1, max(-1, index - 3), -1):
        last = pedalling.treads[earlier][-1:]
        if not last or last[0].foot == own.foot:
            continue
        if key.onset_s - keys[earlier].release_s >= least_s:
            return ""
        apart = naturals(key.midi) - naturals(keys[earlier].midi)
        inverted = apart < 0 if own.foot == "right" else apart > 0
        if not inverted:
            return ""
        return "front" if naturals(key.midi) % 1 else "behind"
    return ""


def _note(key: Key, pedalling: Pedalling, index: int, octaves: int) -> PlayedNote:
    treads = pedalling.treads[index]
    return PlayedNote(
        voice=key.voices[0],
        voices=key.voices,
        written_q=key.written_q,
        onset_q=key.onset_q,
        release_q=key.release_q,
        onset_s=key.onset_s,
        release_s=key.release_s,
        midi_pitch=key.midi - 12 * octaves,
        plays="pedal",
        treads=treads,
        changes_q=pedalling.changes_q.get(index, ()),
        means="" if treads else "left out",
        octaves=octaves,
    )
