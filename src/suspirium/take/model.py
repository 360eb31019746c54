"""A take: the keys that were really pressed, in seconds."""

from __future__ import annotations

from dataclasses import dataclass

from suspirium.errors import Remark


@dataclass(frozen=True, slots=True)
class TakeNote:
    """One key as played: seconds from the beginning of the take; `channel` is the MIDI one."""

    onset_s: float
    release_s: float
    midi: int
    channel: int = 0


@dataclass(frozen=True, slots=True)
class Take:
    """All keys of a take in order of onset; `remarks` say what was passed over in reading."""

    notes: tuple[TakeNote, ...]
    remarks: tuple[Remark, ...] = ()
