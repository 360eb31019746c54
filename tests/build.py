"""Small hymns for tests, written as ABC."""

from __future__ import annotations

from fractions import Fraction

from suspirium.plan.lift import LiftSetting
from suspirium.room import Room
from suspirium.score.abc import read_abc
from suspirium.score.model import Hymn

MEDIUM_ROOM = Room(1.5, 15.0)


def hymn(
    music: str,
    *,
    metre: str = "4/4",
    key: str = "C",
    unit: str = "1/4",
    words: tuple[str, ...] = (),
) -> Hymn:
    """A melody alone; `words` are the ``w:`` lines."""
    lines = ["X:1", "T:Test", f"M:{metre}", f"L:{unit}", f"K:{key}", music]
    lines.extend(f"w:{line}" for line in words)
    return read_abc("\n".join(lines) + "\n")


def four_part(
    soprano: str,
    alto: str,
    tenor: str,
    bass: str,
    *,
    metre: str = "4/4",
    key: str = "C",
    words: tuple[str, ...] = (),
) -> Hymn:
    """Four voices on two staves, lengths in quarters."""
    lines = [
        "X:1",
        "T:Test",
        f"M:{metre}",
        "L:1/4",
        "%%staves (S A) | (T B)",
        "V:S clef=treble",
        "V:A clef=treble",
        "V:T clef=bass",
        "V:B clef=bass",
        f"K:{key}",
        f"[V:S] {soprano}",
        *(f"w:{line}" for line in words),
        f"[V:A] {alto}",
        f"[V:T] {tenor}",
        f"[V:B] {bass}",
    ]
    return read_abc("\n".join(lines) + "\n")


def lift_setting(
    quarter_bpm: float,
    *,
    beat_q: Fraction = Fraction(1),
    triple: bool = False,
    room: Room = MEDIUM_ROOM,
) -> LiftSetting:
    """What a lift depends on, in a medium room unless told otherwise."""
    return LiftSetting(beat_q, triple, quarter_bpm, room)
