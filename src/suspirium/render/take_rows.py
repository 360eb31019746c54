"""The tables of a take report: tempo, line ends, touch, each figure with how sure it is."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from suspirium.render.take_words import drift, gap_spread_s, note_names
from suspirium.tables import load
from suspirium.take.report import (
    LineEnd,
    NoteFault,
    StanzaTempo,
    TakeReport,
    TouchMeasure,
    measure_name,
)

TEMPO_COLUMNS = ("part", "quarters a minute", "from first line to last", "beats vary by")
LINE_END_COLUMNS = (
    "stanza",
    "line",
    "held, s (beats)",
    "planned",
    "silent, s (beats)",
    "planned",
    "beats added",
    "sure to",
)
TOUCH_COLUMNS = ("what", "planned", "played", "how often")
_TOUCHES = {
    "pickup": "A pickup let go before the strong beat",
    "repeat": "A repeated note of the melody let go before it comes again",
    "legato": "From note to note of the melody",
    "bass_after_melody": "The pedal, against the hands",
    "chord_spread": "The keys of a chord, from first to last",
}
_MS = 1000.0


def tempo_rows(report: TakeReport) -> Iterator[list[str]]:
    """Tempo, drift and steadiness of each time through, the plan first."""
    if report.planned_tempo is not None:
        planned = report.planned_tempo
        window = f"{planned.low_quarter_bpm:.0f} to {planned.high_quarter_bpm:.0f} can be sung"
        noticed = 100 * load("take").number("tempo.jnd")
        yield ["plan", f"{planned.quarter_bpm:.0f} ({window})", "even", f"up to {noticed:g} %"]
    for tempo in report.tempos:
        yield list(_tempo(tempo))


def _tempo(tempo: StanzaTempo) -> Iterator[str]:
    yield f"stanza {tempo.stanza}" if tempo.stanza else "introduction"
    error_bpm = tempo.quarter_bpm * tempo.error_percent / 100
    yield f"{tempo.quarter_bpm:.0f}{_sure(error_bpm, '.1f')}"
    yield f"{drift(tempo.drift_percent)}{_sure(tempo.drift_error_percent, '.1f')}"
    yield f"{tempo.steadiness_percent:.1f} %{_sure(tempo.steadiness_error_percent, '.1f')}"


def _sure(error: float, form: str) -> str:
    return f" ± {error:{form}}" if isfinite(error) else ""


def line_end_rows(report: TakeReport) -> Iterator[list[str]]:
    """Hold and silence at every line end, as played and as planned, and beats added there."""
    for end in report.line_ends:
        yield list(_line_end(end))


def _line_end(end: LineEnd) -> Iterator[str]:
    yield str(end.stanza)
    yield str(end.phrase)
    for played_s, planned_s in (
        (end.hold_s, end.planned_hold_s),
        (end.silence_s, end.planned_silence_s),
    ):
        yield _length(played_s, end.quarter_s)
        yield f"{planned_s:.2f}"
    added_q = round(end.added_q, 2)
    yield f"{added_q:+.2f}".replace("-", "−") if added_q else "0"
    yield f"± {end.error_q:.2f}" if isfinite(end.error_q) else "unknown"


def _length(seconds: float, quarter_s: float) -> str:
    if not isfinite(seconds):
        return "not told"
    beats = f" ({seconds / quarter_s:.1f})" if isfinite(quarter_s) else ""
    return f"{seconds:.2f}{beats}"


def touch_rows(report: TakeReport) -> Iterator[list[str]]:
    """Each kind of touch in the take: planned, played with its standard error, how often."""
    order = list(_TOUCHES)
    for touch in sorted(report.touches, key=lambda touch: order.index(touch.kind)):
        yield [_TOUCHES[touch.kind], *_touch(touch), str(touch.count)]


def _touch(touch: TouchMeasure) -> tuple[str, str]:
    sure = _sure(_MS * touch.error_s, ".0f")
    played_ms = _MS * touch.played_s
    size = f"{abs(played_ms):.0f}{sure} ms"
    if touch.kind == "bass_after_melody":
        return "together", f"{size} {'late' if played_ms > 0 else 'early'}"
    if touch.kind == "chord_spread":
        return "together", f"within {size}"
    planned_ms = _MS * touch.planned_s
    planned = f"{planned_ms:.0f} ms of silence" if planned_ms else "joined"
    if not (planned_ms or round(played_ms)):
        return planned, f"joined{sure} ms" if sure else "joined"
    return planned, f"{size} of {'silence' if played_ms > 0 else 'overlap'}"


def gap_words(report: TakeReport) -> str:
    """How even the stanza gaps are, in a sentence; empty with fewer than two."""
    spread_s = gap_spread_s(report)
    if not isfinite(spread_s):
        return ""
    errors = [gap.error_s for gap in report.gaps if isfinite(gap.error_s)]
    sure = _sure(2**0.5 * max(errors), ".2f") if errors else ""
    return f"The longest and the shortest differ by {spread_s:.2f}{sure} s."


def fault_words(fault: NoteFault) -> str:
    """A wrong, missing or extra note and its place."""
    where = f"stanza {fault.stanza}" if fault.stanza else "introduction"
    place = f"{where}, {measure_name(fault.measure)}, {fault.voice}"
    played, expected = note_names(fault)
    if fault.kind == "wrong":
        return f"{place}: {played} for {expected}"
    if fault.kind == "missing":
        return f"{place}: no {expected}"
    return f"{place}: {played} too many"
