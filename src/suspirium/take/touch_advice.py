"""What of a take's touch is worth a word."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from suspirium.tables import load
from suspirium.take.report import TouchMeasure

_MS = 1000.0


def touch_findings(touches: Iterable[TouchMeasure]) -> Iterator[tuple[float, str]]:
    """How far each kind of touch lies beyond what is noticed (1 is just worth saying), and
    the sentence. A chord spread by a pedal that lags is the pedal's fault."""
    noticed_s = load("take").number("touch.noticed_s")
    known = tuple(touches)
    lag_s = sum(abs(touch.played_s) for touch in known if touch.kind == "bass_after_melody")
    for touch in known:
        away_s = touch.played_s - touch.planned_s
        if touch.kind == "chord_spread":
            away_s -= lag_s
        text = _text(touch, away_s)
        if text:
            yield abs(away_s) / noticed_s, text


def _text(touch: TouchMeasure, away_s: float) -> str:
    """The sentence; empty where more than planned is no fault."""
    played, planned = f"{abs(_MS * touch.played_s):.0f} ms", f"{_MS * touch.planned_s:.0f} ms"
    if touch.kind == "bass_after_melody":
        early = "early" if away_s < 0 else "late"
        return f"Put the pedal down with the hands: on the whole it came {played} {early}."
    if touch.kind == "chord_spread":
        return f"Strike chords together: on the whole their keys came within {played}."
    if touch.kind == "legato" and away_s > 0:
        return f"Join the melody's notes: on the whole there were {played} of silence between them."
    if touch.kind == "legato":
        return f"Let the melody's notes go when the next comes: they overlapped by {played}."
    if away_s > 0:
        return ""
    what = "pickups" if touch.kind == "pickup" else "repeated notes"
    heard = played if touch.played_s > 0 else "no silence"
    return f"Let {what} of the melody go sooner: {planned} of silence are planned, {heard} came."


def together(touches: Iterable[TouchMeasure]) -> str:
    """Praise for hands and pedal that come together; empty where they don't."""
    noticed_s = load("take").number("touch.noticed_s")
    for touch in touches:
        if touch.kind == "bass_after_melody" and abs(touch.played_s) + touch.spread_s < noticed_s:
            return f"Hands and pedal came together, within {_MS * noticed_s:.0f} ms."
    return ""
