"""The take report as JSON values; the form is published in ``docs/take.schema.json``."""

from __future__ import annotations

from math import isfinite
from typing import Any

from suspirium.render.numbers import number
from suspirium.render.take_history import history_values
from suspirium.render.take_words import gap_spread_s
from suspirium.tables import load
from suspirium.take.history import History
from suspirium.take.report import (
    Gap,
    LineEnd,
    NoteFault,
    PlannedTempo,
    StanzaTempo,
    TakeReport,
    TouchMeasure,
)

FORMAT = "suspirium-take/1"


def take_values(report: TakeReport, source: str, history: History | None = None) -> dict[str, Any]:
    """The whole report as plain values; times in seconds, lengths in quarter notes.

    `history` is the take among the earlier ones of its hymn, None where it is not kept.
    """
    return {
        "format": FORMAT,
        "source": source,
        "hymn": {"title": report.title, "stanzas": report.stanzas_planned},
        "stanzas_found": report.stanzas_found,
        "introduction_found": report.introduction_found,
        "voices_played": None if report.voices_played is None else list(report.voices_played),
        "voices_left_out": list(report.voices_left_out),
        "transposed_semitones": report.transposed_semitones,
        "tempo": {
            "planned": _planned_tempo(report.planned_tempo),
            "stanzas": [_tempo(tempo) for tempo in report.tempos],
        },
        "phrase_ends": [_line_end(end) for end in report.line_ends],
        "gaps": [_gap(gap) for gap in report.gaps],
        "planned_gap": {
            "onset_to_onset_q": report.planned_gap_q,
            "onset_to_onset_s": _s(report.planned_gap_s),
        },
        "gap_spread_s": _s(gap_spread_s(report)),
        "notes": None
        if report.matched is None
        else {
            "matched": report.matched,
            **{
                kind: sum(fault.kind == kind for fault in report.faults)
                for kind in ("wrong", "missing", "extra")
            },
            "list": [_fault(fault) for fault in report.faults],
        },
        "restarts": [
            {
                "stanza": restart.stanza,
                "stopped_measure": restart.stopped_measure,
                "again_measure": restart.again_measure,
                "phrase": restart.phrase or None,
            }
            for restart in report.restarts
        ],
        "touch": [_touch(touch) for touch in report.touches],
        "not_measured": list(report.not_measured),
        "remarks": list(report.remarks),
        "advice": list(report.advice),
        "praise": list(report.praise),
        "history": history_values(history),
    }


def take_failure_values(source: str, message: str) -> dict[str, Any]:
    """What stands in the place of a report that could not be made."""
    return {"format": FORMAT, "source": source, "error": message}


def _s(seconds: float) -> float | None:
    return round(seconds, 4) if isfinite(seconds) else None


def _q(seconds: float, quarter_s: float) -> float | None:
    length_q = seconds / quarter_s
    return round(length_q, 3) if isfinite(length_q) else None


def _planned_tempo(planned: PlannedTempo | None) -> dict[str, Any] | None:
    if planned is None:
        return None
    return {
        "quarter_bpm": round(planned.quarter_bpm, 2),
        "low_quarter_bpm": round(planned.low_quarter_bpm, 2),
        "high_quarter_bpm": round(planned.high_quarter_bpm, 2),
    }


def _tempo(tempo: StanzaTempo) -> dict[str, Any]:
    return {
        "stanza": tempo.stanza,
        "quarter_bpm": round(tempo.quarter_bpm, 2),
        "drift_percent": round(tempo.drift_percent, 2),
        "steadiness_percent": round(tempo.steadiness_percent, 2),
        "error_percent": round(tempo.error_percent, 2),
        "drift_error_percent": _s(tempo.drift_error_percent),
        "steadiness_error_percent": _s(tempo.steadiness_error_percent),
        "steadiness_noticed_percent": 100 * load("take").number("tempo.jnd"),
    }


def _line_end(end: LineEnd) -> dict[str, Any]:
    return {
        "stanza": end.stanza,
        "phrase": end.phrase,
        "onset_q": number(end.onset_q),
        "hold_s": _s(end.hold_s),
        "silence_s": _s(end.silence_s),
        "hold_q": _q(end.hold_s, end.quarter_s),
        "silence_q": _q(end.silence_s, end.quarter_s),
        "planned_hold_s": _s(end.planned_hold_s),
        "planned_silence_s": _s(end.planned_silence_s),
        "planned_stretch_q": round(end.planned_stretch_q, 3),
        "added_q": round(end.added_q, 3),
        "error_q": round(end.error_q, 3) if isfinite(end.error_q) else None,
        "sounded_error_s": _s(end.sounded_error_s),
        "confidence": round(end.confidence, 3),
    }


def _gap(gap: Gap) -> dict[str, Any]:
    return {
        "after_stanza": gap.after_stanza,
        "onset_to_onset_q": round(gap.onset_to_onset_q, 3),
        "onset_to_onset_s": _s(gap.onset_to_onset_s),
        "silence_s": _s(gap.silence_s),
        "error_s": _s(gap.error_s),
        "silence_error_s": _s(gap.silence_error_s),
    }


def _fault(fault: NoteFault) -> dict[str, Any]:
    return {
        "kind": fault.kind,
        "stanza": fault.stanza,
        "measure": fault.measure,
        "onset_q": number(fault.onset_q),
        "voice": fault.voice,
        "expected_midi": fault.expected_midi,
        "played_midi": fault.played_midi,
    }


def _touch(touch: TouchMeasure) -> dict[str, Any]:
    return {
        "kind": touch.kind,
        "count": touch.count,
        "planned_s": _s(touch.planned_s),
        "played_s": _s(touch.played_s),
        "spread_s": _s(touch.spread_s),
        "error_s": _s(touch.error_s),
    }
