"""Takes of one hymn side by side, in words and as values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from math import sqrt
from statistics import median
from typing import Any

from suspirium.render.week_words import day_words
from suspirium.tables import load
from suspirium.take.history import Change, Figures, History
from suspirium.take.lines import breath_short

_NAMES = {
    "gap": ("The stanza gaps", "steadier than", "as even as", "less even than"),
    "steadiness": ("The pulse", "steadier than", "as steady as", "less steady than"),
    "breath": ("Breaths", "better kept than", "kept as", "kept less well than"),
    "added": ("Line ends", "kept better than", "kept as", "kept less well than"),
    "notes": ("The notes", "surer than", "as sure as", "less sure than"),
}
_PLURAL = frozenset({"gap", "breath", "added", "notes"})


def figures_of(values: Mapping[str, Any], made_at: datetime, name: str) -> Figures:
    """What of a take is looked back on, from its report's JSON values."""
    table = load("take")
    tempos = [tempo for tempo in values["tempo"]["stanzas"] if tempo["stanza"]]
    gaps = [gap["onset_to_onset_s"] for gap in values["gaps"]]
    errors = [gap.get("error_s") or 0.0 for gap in values["gaps"]]
    ends = values["phrase_ends"]
    planned = [end for end in ends if end["planned_silence_s"] > 0 and end["silence_s"] is not None]
    notes = values["notes"]
    return Figures(
        made_at=made_at,
        name=name,
        quarter_bpm=median(t["quarter_bpm"] for t in tempos) if tempos else None,
        steadiness_percent=median(t["steadiness_percent"] for t in tempos) if tempos else None,
        gap_spread_s=round(max(gaps) - min(gaps), 4) if len(gaps) > 1 else None,
        gap_error_s=sqrt(2) * max(errors, default=0.0),
        short_breaths=sum(
            breath_short(end["silence_s"], end["planned_silence_s"]) for end in planned
        ),
        breaths=len(planned),
        added=sum(abs(end["added_q"]) >= table.number("added.least_q") for end in ends),
        line_ends=len(ends),
        faults=None if notes is None else notes["wrong"] + notes["missing"],
        steadiness_error_percent=(
            median(t.get("steadiness_error_percent") or 0.0 for t in tempos) if tempos else 0.0
        ),
    )


def history_values(history: History | None) -> dict[str, Any] | None:
    """The history as plain values; None where the take is not kept."""
    if history is None:
        return None
    return {
        "takes": [_take(one) for one in history.takes],
        "against": None if history.against is None else history.against.made_at.isoformat(),
        "changes": [
            {
                "kind": change.kind,
                "before": round(change.before, 4),
                "now": round(change.now, 4),
                "verdict": change.verdict,
            }
            for change in history.changes
        ],
        "sentences": list(history_sentences(history)),
    }


def _take(one: Figures) -> dict[str, Any]:
    return {
        "made_at": one.made_at.isoformat(),
        "name": one.name,
        "quarter_bpm": one.quarter_bpm,
        "steadiness_percent": one.steadiness_percent,
        "gap_spread_s": one.gap_spread_s,
        "short_breaths": one.short_breaths,
        "breaths": one.breaths,
        "added": one.added,
        "line_ends": one.line_ends,
        "faults": one.faults,
    }


def history_sentences(history: History) -> Iterator[str]:
    """One sentence for each figure that two takes share."""
    if history.against is None:
        return
    when = when_words(history.against.made_at, history.takes[-1].made_at)
    for change in history.changes:
        what, better, alike, worse = _NAMES[change.kind]
        is_are = "are" if change.kind in _PLURAL else "is"
        how = {"better": better, "alike": alike, "worse": worse}[change.verdict]
        yield f"{what} {is_are} {how} {when}: {_figures(history, change)}."


def when_words(then: datetime, now: datetime) -> str:
    """ "on Sunday 22 November", with the hour if it was on the same day."""
    at = f" at {then:%H:%M}" if then.date() == now.date() else ""
    return f"on {day_words(then.date())}{at}"


def _figures(history: History, change: Change) -> str:
    then, now = history.against, history.takes[-1]
    if then is None:
        return ""
    if change.kind == "gap":
        return f"within {change.now:.2f} s, then {change.before:.2f} s"
    if change.kind == "steadiness":
        return f"intervals within {change.now:.1f} %, then {change.before:.1f} %"
    if change.kind == "breath":
        return (
            f"{now.short_breaths} of {now.breaths} too short, "
            f"then {then.short_breaths} of {then.breaths}"
        )
    if change.kind == "added":
        return (
            f"a beat added or lost at {now.added} of {now.line_ends}, "
            f"then at {then.added} of {then.line_ends}"
        )
    return f"{change.now:.0f} wrong or missing, then {change.before:.0f}"


def history_rows(history: History) -> list[list[str]]:
    """A row for each take: when, tempo, gaps, pulse, short breaths, beats added, notes."""
    return [
        [
            f"{day_words(one.made_at.date())}, {one.made_at:%H:%M}",
            _or("{:.0f}", one.quarter_bpm),
            _or("{:.2f} s", one.gap_spread_s),
            _or("{:.1f} %", one.steadiness_percent),
            f"{one.short_breaths} of {one.breaths}",
            f"{one.added} of {one.line_ends}",
            _or("{:.0f}", one.faults),
        ]
        for one in history.takes
    ]


def _or(form: str, value: float | None) -> str:
    return "–" if value is None else form.format(value)
