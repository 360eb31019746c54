"""Who plays, on what: hand, level, pedalboard, and the fingers and feet already decided."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from suspirium.errors import OverrideError
from suspirium.score.model import Hymn, Note
from suspirium.technique.feet.board import Pedalboard, pedalboard
from suspirium.technique.hand import FINGERS, Hand, Level, Side, preset
from suspirium.technique.model import Tread

_FIGURES = re.compile(r"[1-5](?:\s*[-–]\s*[1-5])*")


@dataclass(frozen=True, slots=True)
class FixedFingers:
    """The player's or the score's own fingers for one note: one, or more for substitutions."""

    voice: str
    written_q: Fraction
    fingers: tuple[int, ...]
    side: Side | None = None


@dataclass(frozen=True, slots=True)
class FixedTread:
    """The player's own foot, toe or heel for one pedal note."""

    voice: str
    written_q: Fraction
    tread: Tread


@dataclass(frozen=True, slots=True)
class Player:
    """One organist at one console."""

    hand: Hand = field(default_factory=lambda: preset("medium"))
    level: Level = "fluent"
    board: Pedalboard = field(default_factory=pedalboard)
    fingers: tuple[FixedFingers, ...] = ()
    treads: tuple[FixedTread, ...] = ()


def fixed_fingers(hymn: Hymn, player: Player) -> tuple[FixedFingers, ...]:
    """The score's fingerings and the player's, which win where both name a note.

    Raises `OverrideError` for a finger or a note that isn't there.
    """
    own = {(fixed.voice, fixed.written_q): fixed for fixed in player.fingers}
    for fixed in player.fingers:
        if not fixed.fingers or not set(fixed.fingers) <= set(FINGERS):
            raise OverrideError(f"a hand has fingers 1 to 5; {fixed.fingers} names others")
        check_note(hymn, fixed.voice, fixed.written_q)
    printed = (f for f in _printed(hymn) if (f.voice, f.written_q) not in own)
    return (*printed, *own.values())


def check_note(hymn: Hymn, voice: str, written_q: Fraction) -> None:
    """Raises `OverrideError` unless a note of this voice begins there."""
    if not any(v.name == voice and _begins(v.notes, written_q) for v in hymn.voices):
        raise OverrideError(f"no note of the {voice} begins at quarter {written_q}")


def _begins(notes: tuple[Note, ...], written_q: Fraction) -> bool:
    return any(note.onset_q == written_q and note.pitches for note in notes)


def _printed(hymn: Hymn) -> Iterator[FixedFingers]:
    """The score's figures on notes of one pitch; those on chords don't say which key."""
    for voice in hymn.voices:
        for note in voice.notes:
            figures = [text for text in note.fingering if _FIGURES.fullmatch(text.strip())]
            if figures and len(note.pitches) == 1:
                fingers = tuple(int(sign) for text in figures for sign in re.findall("[1-5]", text))
                yield FixedFingers(voice.name, note.onset_q, fingers)
