"""A hymn of the library as it is shown: its plan, its own decisions, its hands and feet."""

from __future__ import annotations

from dataclasses import dataclass, replace

from suspirium.desk.deciding import version_of
from suspirium.desk.finding import Found, found_in
from suspirium.desk.fingering import Playing, technique_with
from suspirium.desk.planning import Settings, overrides_of, plan_found
from suspirium.plan.model import LeadingPlan
from suspirium.plan.overrides import Overrides
from suspirium.render.fingering import fingering
from suspirium.render.screen import ScreenSheet, screen_sheet
from suspirium.score.keynames import key_words
from suspirium.score.model import Hymn
from suspirium.score.transpose import fifths_moved
from suspirium.store.hymnal import digest_of
from suspirium.store.library import Library
from suspirium.tables import load
from suspirium.technique.model import Technique
from suspirium.technique.show import SHOWS, Show


@dataclass(frozen=True, slots=True)
class Shown:
    """What a page about a hymn needs; `alone` is the plan without the organist's decisions."""

    number: int
    found: Found
    plan: LeadingPlan
    alone: LeadingPlan
    own: Overrides
    version: str
    settings: Settings = Settings()  # noqa: RUF009 (frozen)

    @property
    def semitones(self) -> int:
        """How far the key is from the printed one."""
        return self.settings.key if isinstance(self.settings.key, int) else 0

    @property
    def title(self) -> str:
        return self.plan.hymn.title or self.found.path.stem


Key = tuple[str, str]  # score and decisions by their content


def key_of(found: Found) -> Key:
    """What is shown of a hymn depends on this alone, beside the settings."""
    return digest_of(found.score), version_of(found.overrides or "")


def find_shown(library: Library, number: int) -> Found:
    """The hymn of this number; `LibraryError` if there is none."""
    return found_in(library, number)


def show(number: int, found: Found, settings: Settings) -> Shown:
    """The hymn planned, with and without its own decisions."""
    own = overrides_of(found)
    plan = plan_found(found, settings)
    alone = plan_found(replace(found, overrides=""), settings) if found.overrides else plan
    return Shown(number, found, plan, alone, own, version_of(found.overrides or ""), settings)


def keys_within_reach(hymn: Hymn) -> list[tuple[int, str]]:
    """Semitones up and the key they lead to, the highest first; the printed one among them."""
    furthest = int(load("key")["asked.furthest"])
    return [
        (semitones, key_after(hymn, semitones)) for semitones in range(furthest, -furthest - 1, -1)
    ]


def key_after(hymn: Hymn, semitones: int) -> str:
    """The key in which a hymn begins when it is moved, in words."""
    first = hymn.keys[0]
    moved = fifths_moved(hymn, semitones) if semitones else 0
    return key_words(first.fifths + moved, first.mode)


def hands_and_feet(found: Found, plan: LeadingPlan, player: Playing) -> Technique:
    """Who plays what, the organist's own fingers and feet kept."""
    return technique_with(overrides_of(found), plan, player)


def engraved(
    plan: LeadingPlan, technique: Technique | None, show: str, width_mm: float
) -> ScreenSheet:
    """The score for the screen; `show` is none, helpful or all (what is not known is none)."""
    chosen: Show = next((known for known in SHOWS if known == show), "none")
    if technique is None or chosen == "none":
        return screen_sheet(plan, width_mm=width_mm)
    return screen_sheet(plan, fingering(plan, technique, chosen), width_mm=width_mm)
