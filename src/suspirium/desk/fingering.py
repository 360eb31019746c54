"""Hands and feet for a score: the console and the player as asked, fixed fingers kept."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from suspirium.desk.planning import read_overrides_for
from suspirium.errors import OutputError
from suspirium.plan.model import LeadingPlan
from suspirium.plan.overrides import Overrides
from suspirium.technique import find_technique
from suspirium.technique.feet.board import pedalboard
from suspirium.technique.hand import Level, measured, preset
from suspirium.technique.model import Arrangement, Technique, Tread
from suspirium.technique.player import FixedFingers, FixedTread, Player
from suspirium.technique.show import SHOWS, Show

ARRANGEMENTS: tuple[Arrangement, ...] = ("pedal", "manuals", "solo")
LEVELS: tuple[Level, ...] = ("fluent", "beginner")


@dataclass(frozen=True, slots=True)
class Playing:
    """Who plays and how the voices are shared."""

    player: Player = Player()  # noqa: RUF009 (frozen)
    arrangement: Arrangement = "pedal"


@dataclass(frozen=True, slots=True)
class FingerSettings:
    """Who plays, which marks the page shows, and whether parts are wanted."""

    playing: Playing = Playing()
    show: Show = "helpful"
    parts: bool = False


def finger_settings(who: Playing, show: str, parts: bool) -> FingerSettings:
    """Checked settings; `OutputError` where `show` is not known."""
    for known in SHOWS:
        if known == show:
            return FingerSettings(who, known, parts)
    raise OutputError(f"the fingering can be shown as {', '.join(SHOWS)}, not {show!r}")


def playing(
    hand: str = "medium",
    span_cm: float | None = None,
    level: str = "fluent",
    board: str = "ago",
    arrangement: str = "pedal",
) -> Playing:
    """Checked settings; `SuspiriumError` where one is not known.

    A measured span of the hand goes before the named hand.
    """
    shared = [known for known in ARRANGEMENTS if known == arrangement]
    levels = [known for known in LEVELS if known == level]
    if not shared:
        raise OutputError(
            f"the voices can be shared as {', '.join(ARRANGEMENTS)}, not {arrangement!r}"
        )
    if not levels:
        raise OutputError(f"the levels are {', '.join(LEVELS)}, not {level!r}")
    own = measured(span_cm) if span_cm is not None else preset(hand)
    return Playing(Player(own, levels[0], pedalboard(board)), shared[0])


def shared_otherwise(who: Playing, arrangement: str) -> Playing:
    """`who` with the voices shared as asked; as before where that is not known."""
    asked = next((known for known in ARRANGEMENTS if known == arrangement), who.arrangement)
    return replace(who, arrangement=asked)


def technique_for(
    score: Path,
    plan: LeadingPlan,
    settings: Playing = Playing(),
) -> Technique:
    """The technique of `plan`, made from `score`, with the organist's own fingers and feet."""
    return technique_with(read_overrides_for(score), plan, settings)


def technique_with(
    overrides: Overrides,
    plan: LeadingPlan,
    settings: Playing = Playing(),
) -> Technique:
    """The technique of `plan` with the fingers and feet that `overrides` fix."""
    return find_technique(plan, with_own(settings.player, overrides), settings.arrangement)


def with_own(player: Player, overrides: Overrides) -> Player:
    """`player` with the fingers and feet that the overrides fix."""
    fingers = tuple(
        FixedFingers(own.voice, own.onset_q, own.fingers, own.hand) for own in overrides.fingers
    )
    treads = tuple(
        FixedTread(own.voice, own.onset_q, Tread(own.foot, own.part)) for own in overrides.feet
    )
    return replace(player, fingers=fingers, treads=treads)
