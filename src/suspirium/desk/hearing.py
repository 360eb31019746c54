"""A hymn's sound for a page, and when each note of it sounds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from suspirium.desk.preparing import SOUND_FORMATS, VOICES
from suspirium.errors import OutputError
from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import Performance, perform
from suspirium.render.midi import write_midi
from suspirium.render.sound import record
from suspirium.render.timing import timing_values

_SLOWEST, _QUICKEST = 0.3, 1.5  # of the planned tempo; beyond it a slip


@dataclass(frozen=True, slots=True)
class Hearing:
    """How a hymn is to sound: a share of the planned tempo, pulse ticks, voices (all if empty)."""

    share: float = 1.0
    ticks: bool = False
    voices: tuple[str, ...] = ()


def hearing(percent: str, ticks: bool, voices: str) -> Hearing:
    """Checked settings from what a page asks; `OutputError` where they can't be."""
    try:
        share = float(percent or 100) / 100
    except ValueError:
        raise OutputError(f"{percent!r} is no tempo; write a percentage") from None
    if not _SLOWEST <= share <= _QUICKEST:
        raise OutputError(f"the tempo can be from {_SLOWEST:.0%} to {_QUICKEST:.0%} of the planned")
    chosen = tuple(voice for voice in voices.split(",") if voice)
    if unknown := [voice for voice in chosen if voice not in VOICES]:
        raise OutputError(f"the voices are {', '.join(VOICES)}, not {unknown[0]!r}")
    return Hearing(share, ticks, chosen)


def sound_of(plan: LeadingPlan, how: Hearing) -> bytes:
    """The recording as FLAC, which every browser plays."""
    return record(_played(plan, how, how.voices), plan.room, ("flac",), ticks=how.ticks)["flac"]


@dataclass(frozen=True, slots=True)
class HymnFile:
    """A hymn to take along: the file's content, its ending and its media type."""

    content: bytes
    ending: str
    media: str


def hymn_file(plan: LeadingPlan, form: str, how: Hearing) -> HymnFile:
    """The hymn as MIDI or as a recording (flac, ogg, wav); `OutputError` for another form."""
    if form == "midi":
        return HymnFile(write_midi(plan, _played(plan, how, how.voices)), "mid", "audio/midi")
    for known in SOUND_FORMATS:
        if known == form:
            played = _played(plan, how, how.voices)
            sound = record(played, plan.room, (known,), ticks=how.ticks)[known]
            return HymnFile(sound, known, f"audio/{known}")
    raise OutputError(f"a hymn can be taken along as midi, {', '.join(SOUND_FORMATS)}, not {form}")


def timing_of(plan: LeadingPlan, how: Hearing) -> dict[str, Any]:
    """When each note of that recording sounds (`timing_values`)."""
    return timing_values(plan, _played(plan, how, how.voices), _bpm(plan, how))


def _bpm(plan: LeadingPlan, how: Hearing) -> float:
    return plan.tempo.value.quarter_bpm * how.share


def _played(plan: LeadingPlan, how: Hearing, voices: tuple[str, ...]) -> Performance:
    return perform(plan, voices=voices or None, quarter_bpm=_bpm(plan, how))
