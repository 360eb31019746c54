"""One note's finger or foot as the organist wants it; the rest is found anew around it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from suspirium.desk.deciding import keep_text
from suspirium.desk.finding import found_in
from suspirium.desk.fingering import Playing, technique_with
from suspirium.desk.planning import Settings, overrides_of, plan_found
from suspirium.errors import OverrideError
from suspirium.plan.model import LeadingPlan
from suspirium.plan.overrides import FingerOverride, FootOverride, Overrides, read_overrides
from suspirium.plan.overrides_toml import write_overrides
from suspirium.score.sounding import measure_at
from suspirium.store.library import Library


@dataclass(frozen=True, slots=True)
class PlaceOfNote:
    """A note by the id that the engraving gives it: `measure` is the printed one."""

    name: str
    voice: str
    onset_q: Fraction
    measure: int
    pitch: str


def places(plan: LeadingPlan) -> Iterator[PlaceOfNote]:
    """Every note of every voice, in order."""
    for number, voice in enumerate(plan.hymn.voices):
        for index, note in enumerate(voice.notes):
            if note.pitches:
                yield PlaceOfNote(
                    f"n{number}-{index}",
                    voice.name,
                    note.onset_q,
                    measure_at(plan.hymn, note.onset_q).number,
                    " ".join(str(pitch) for pitch in note.pitches),
                )


def set_note(
    library: Library,
    number: int,
    asked: Mapping[str, str],
    version: str,
    settings: Settings,
    player: Playing,
) -> None:
    """Sets the finger or foot of the note that `asked` names, or lets it go.

    Fields: ``note`` (its id), ``fingers`` ("4" or "4 5"), ``foot`` and ``part``;
    without fingers and foot the note is found by the program again. Raises `OverrideError`
    where nobody can play so, `StaleError` where decisions were changed meanwhile.
    """
    found = found_in(library, number)
    plan = plan_found(found, settings)
    place = next((one for one in places(plan) if one.name == asked.get("note")), None)
    if place is None:
        raise OverrideError("choose a note first: click it, or take it from the list")
    text = write_overrides(_with_note(overrides_of(found), place, asked))
    technique_with(read_overrides(text), plan, player)  # says what can't be played
    keep_text(library, number, text, version)


def _with_note(own: Overrides, place: PlaceOfNote, asked: Mapping[str, str]) -> Overrides:
    where = place.voice, place.onset_q
    fingers = [one for one in own.fingers if (one.voice, one.onset_q) != where]
    feet = [one for one in own.feet if (one.voice, one.onset_q) != where]
    if asked.get("foot") in ("left", "right"):
        foot: Literal["left", "right"] = "left" if asked["foot"] == "left" else "right"
        part: Literal["toe", "heel"] = "heel" if asked.get("part") == "heel" else "toe"
        feet.append(FootOverride(place.onset_q, place.voice, foot, part))
    elif asked.get("fingers", "").strip():
        figures = _figures(asked["fingers"])
        fingers.append(FingerOverride(place.onset_q, place.voice, figures))
    return replace(
        own,
        fingers=tuple(sorted(fingers, key=lambda one: (one.onset_q, one.voice))),
        feet=tuple(sorted(feet, key=lambda one: (one.onset_q, one.voice))),
    )


def _figures(text: str) -> tuple[int, ...]:
    parts = text.replace("-", " ").replace("–", " ").replace(",", " ").split()
    if not all(part in {"1", "2", "3", "4", "5"} for part in parts):
        raise OverrideError(f"a hand has fingers 1 to 5; {text!r} names others")
    return tuple(int(part) for part in parts)
