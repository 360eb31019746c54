"""Takes of one hymn side by side: what is steadier than it was, what is not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import hypot
from typing import Literal

from suspirium.tables import load

Verdict = Literal["better", "alike", "worse"]
Kind = Literal["gap", "steadiness", "breath", "added", "notes"]


@dataclass(frozen=True, slots=True)
class Figures:
    """What of a take is looked back on; None where it was not measured.

    `gap_spread_s` is the longest stanza gap less the shortest, `gap_error_s` its standard
    error, `steadiness_error_percent` the steadiness'; `short_breaths` of the planned `breaths`
    were too short; `added` of the `line_ends` had a beat more or less; `faults` are wrong and
    missing notes.
    """

    made_at: datetime
    name: str
    quarter_bpm: float | None
    steadiness_percent: float | None
    gap_spread_s: float | None
    gap_error_s: float
    short_breaths: int
    breaths: int
    added: int
    line_ends: int
    faults: int | None
    steadiness_error_percent: float = 0.0


@dataclass(frozen=True, slots=True)
class Change:
    """One figure before and now, and whether the difference is one that people notice."""

    kind: Kind
    before: float
    now: float
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class History:
    """The takes of a hymn, the oldest first, the last being this one; and this one against
    `against`, None where it is the first."""

    takes: tuple[Figures, ...]
    against: Figures | None
    changes: tuple[Change, ...]


def history(earlier: Sequence[Figures], now: Figures) -> History:
    """This take among those made before it, against the one of about a week ago.

    That is the latest that is at least as old as the table's week, else the oldest.
    """
    before = sorted((one for one in earlier if one.made_at <= now.made_at), key=_made_at)
    week = timedelta(days=load("take").number("history.week_days"))
    old = [one for one in before if now.made_at - one.made_at >= week]
    against = old[-1] if old else before[0] if before else None
    changes = tuple(_changes(against, now)) if against else ()
    return History((*before, now), against, changes)


def _made_at(one: Figures) -> datetime:
    return one.made_at


def _changes(before: Figures, now: Figures) -> list[Change]:
    """Each figure that both takes have; a smaller one is always the better one."""
    table = load("take")
    errors = table.number("history.errors")
    error_s = errors * hypot(before.gap_error_s, now.gap_error_s)
    uneven = errors * hypot(before.steadiness_error_percent, now.steadiness_error_percent)
    rows: list[tuple[Kind, float | None, float | None, float]] = [
        (
            "gap",
            before.gap_spread_s,
            now.gap_spread_s,
            max(table.number("history.gap_s"), error_s),
        ),
        (
            "steadiness",
            before.steadiness_percent,
            now.steadiness_percent,
            max(table.number("history.steadiness_percent"), uneven),
        ),
        ("breath", _share(before.short_breaths, before.breaths), _breaths(now), 0.0),
        ("added", _share(before.added, before.line_ends), _share(now.added, now.line_ends), 0.0),
        ("notes", before.faults, now.faults, table.number("history.notes")),
    ]
    return [
        Change(kind, old, new, _verdict(old, new, least))
        for kind, old, new, least in rows
        if old is not None and new is not None
    ]


def _breaths(one: Figures) -> float | None:
    return _share(one.short_breaths, one.breaths)


def _share(part: int, whole: int) -> float | None:
    return part / whole if whole else None


def _verdict(before: float, now: float, least: float) -> Verdict:
    if abs(now - before) <= least:
        return "alike"
    return "better" if now < before else "worse"
