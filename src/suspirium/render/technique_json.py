"""Hands and feet as JSON values; the form is published in ``docs/technique.schema.json``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from suspirium.plan.model import LeadingPlan
from suspirium.render.numbers import number
from suspirium.score.sounding import measure_at
from suspirium.technique import A_START, CARE
from suspirium.technique.model import (
    Effort,
    HardPassage,
    MeasureEffort,
    Pair,
    PlayedNote,
    Technique,
)
from suspirium.technique.share import share

FORMAT = "suspirium-technique/1"


def technique_values(plan: LeadingPlan, technique: Technique, source: str) -> dict[str, Any]:
    """The whole technique as plain values, lengths in quarter notes, times in seconds."""
    return {
        "format": FORMAT,
        "source": source,
        "title": plan.hymn.title,
        "arrangement": technique.arrangement,
        "stanza": technique.stanza,
        "stanzas_alike": _alike(plan, technique),
        "notes": [_note(plan, note) for note in technique.notes],
        "effort": _effort(technique.effort),
        "caution": [A_START, CARE],
        "warnings": [
            {"text": remark.text, "place": str(remark.place)} for remark in technique.remarks
        ],
    }


def _alike(plan: LeadingPlan, technique: Technique) -> list[int]:
    """The stanzas whose keys go down and come up as in the technique's own."""
    own = share(plan, technique.arrangement, technique.stanza)
    return [
        number
        for number in plan.stanza_numbers
        if number == technique.stanza or share(plan, technique.arrangement, number) == own
    ]


def technique_failure(source: str, message: str) -> dict[str, Any]:
    """What stands in the place of a technique that could not be found."""
    return {"format": FORMAT, "source": source, "error": message}


def _note(plan: LeadingPlan, note: PlayedNote) -> dict[str, Any]:
    values: dict[str, Any] = {
        "voice": note.voice,
        "voices": list(note.voices),
        "measure": measure_at(plan.hymn, note.written_q).number,
        "written_q": number(note.written_q),
        "onset_q": number(note.onset_q),
        "release_q": number(note.release_q),
        "onset_s": round(note.onset_s, 4),
        "release_s": round(note.release_s, 4),
        "midi_pitch": note.midi_pitch,
        "plays": note.plays,
        "means": note.means,
        "released_early": note.released_early,
        "taken_over": note.taken_over,
        "position_change": note.shifted,
        "fixed": note.fixed,
    }
    if note.changes_q:
        values["substitutions_after_q"] = [number(at_q) for at_q in note.changes_q]
    if note.plays == "pedal":
        return {**values, **_feet(note)}
    return {**values, "fingers": list(note.fingers)}


def _feet(note: PlayedNote) -> dict[str, Any]:
    return {
        "foot": note.foot,
        "part": note.part,
        "treads": [{"foot": tread.foot, "part": tread.part} for tread in note.treads],
        "crosses": note.crosses,
        "octaves": note.octaves,
        "ready_s": None if note.ready_s is None else round(note.ready_s, 4),
    }


def _effort(effort: Effort) -> dict[str, Any]:
    return {
        "hymn": round(effort.hymn, 2),
        "words": effort.words,
        "components": {name: round(points, 2) for name, points in effort.components.items()},
        "pairs": _pairs(effort.pairs),
        "measures": [_measure(measure) for measure in effort.measures],
        "passages": [_passage(passage) for passage in effort.passages],
    }


def _measure(measure: MeasureEffort) -> dict[str, Any]:
    return {
        "measure": measure.measure,
        "onset_q": number(measure.onset_q),
        "end_q": number(measure.end_q),
        "seconds": round(measure.seconds, 3),
        "demand": round(measure.demand, 2),
        "per_second": round(measure.per_second, 2),
        "components": {name: round(points, 2) for name, points in measure.components.items()},
        "pairs": _pairs(measure.pairs),
    }


def _pairs(pairs: Mapping[Pair, float]) -> dict[str, float]:
    return {"+".join(pair): round(points, 2) for pair, points in pairs.items()}


def _passage(passage: HardPassage) -> dict[str, Any]:
    return {
        "first_measure": passage.first_measure,
        "last_measure": passage.last_measure,
        "start_q": number(passage.start_q),
        "end_q": number(passage.end_q),
        "plays": list(passage.plays),
        "demand": round(passage.demand, 2),
        "reason": passage.reason,
    }
