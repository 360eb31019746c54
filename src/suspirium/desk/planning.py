"""Planning a hymn from its file, with the organist's overrides beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from suspirium.desk.finding import Found, find_score
from suspirium.errors import OverrideError, Remark, ScoreError
from suspirium.plan.build import plan_hymn
from suspirium.plan.model import LeadingPlan
from suspirium.plan.overrides import NONE, Overrides, read_overrides
from suspirium.room import Room, default_room
from suspirium.score.keynames import key_words
from suspirium.score.model import Hymn
from suspirium.score.reading import read
from suspirium.score.transpose import transposed
from suspirium.store import read_bytes
from suspirium.tables import load

PROPOSED: Literal["proposed"] = "proposed"


@dataclass(frozen=True, slots=True)
class Settings:
    """What a plan depends on beside the score; None where the tables decide.

    `same_breaths` is for organists who lift in all stanzas alike. `key` is how many
    semitones up the hymn is moved, or "proposed": where `people` can sing it, `early` in the
    day or not.
    """

    room: Room | None = None
    singers: int | None = None
    same_breaths: bool = False
    key: int | Literal["proposed"] = 0
    people: str = "mixed"
    early: bool = False


def overrides_path(score: Path) -> Path:
    """Where the organist's own decisions for a score are kept."""
    return score.with_name(f"{score.stem}.overrides.toml")


def read_overrides_for(score: Path) -> Overrides:
    """The overrides of a score: those beside its file, or kept with it in the library."""
    return overrides_of(find_score(score))


def overrides_of(found: Found) -> Overrides:
    """The overrides that go with what was found."""
    if found.overrides is not None:
        return read_overrides(found.overrides)
    path = overrides_path(found.path)
    if not path.exists():
        return NONE
    try:
        return read_overrides(read_bytes(path).decode("utf-8"))
    except UnicodeDecodeError:
        raise OverrideError(f"{path} is not text in UTF-8") from None
    except OverrideError as problem:
        raise OverrideError(f"{path.name}: {problem.text}") from None


def plan_file(score: Path, settings: Settings = Settings()) -> LeadingPlan:
    """The leading plan of the score at this path, or of this name in the library.

    Raises `SuspiriumError` in plain words.
    """
    return plan_found(find_score(score), settings)


def plan_found(found: Found, settings: Settings = Settings()) -> LeadingPlan:
    """The leading plan of a score that is found already."""
    hymn = read(found.score, found.name)
    if settings.key != PROPOSED:
        return _planned(_moved(hymn, settings.key), found, settings)
    plan = _planned(hymn, found, settings)
    from suspirium.service.keys import propose_key

    semitones = propose_key(plan, people=settings.people, early=settings.early).semitones
    return _planned(_moved(hymn, semitones), found, settings) if semitones else plan


def _moved(hymn: Hymn, semitones: int) -> Hymn:
    """The hymn in another key, with a remark of where it was printed."""
    if not semitones:
        return hymn
    moved = transposed(hymn, semitones)
    first = hymn.keys[0]
    told = Remark(f"it is printed in {key_words(first.fifths, first.mode)}: this is another key")
    return replace(moved, remarks=(*moved.remarks, told))


def key_asked(text: str) -> int | Literal["proposed"]:
    """The key as it is typed: "printed", "proposed", or semitones up; `ScoreError` else."""
    if text == PROPOSED:
        return PROPOSED
    if text == "printed":
        return 0
    furthest = int(load("key")["asked.furthest"])
    try:
        semitones = int(text)
    except ValueError:
        raise ScoreError(
            f"the key is {text!r}; write printed, proposed, or semitones up, as in -2"
        ) from None
    if abs(semitones) > furthest:
        raise ScoreError(f"{text} semitones are too far; up to {furthest} can be moved")
    return semitones


def _planned(hymn: Hymn, found: Found, settings: Settings) -> LeadingPlan:
    return plan_hymn(
        hymn,
        room=settings.room or default_room(),
        singers=settings.singers,
        overrides=_with_settings(overrides_of(found), settings),
    )


def _with_settings(overrides: Overrides, settings: Settings) -> Overrides:
    alike = overrides.same_breath_every_stanza or settings.same_breaths
    return replace(overrides, same_breath_every_stanza=alike)
