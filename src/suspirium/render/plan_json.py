"""The plan as JSON values; the form is published in ``docs/plan.schema.json``."""

from __future__ import annotations

from typing import Any

from suspirium.plan.model import Decision, LeadingPlan, Phrase, Touch
from suspirium.plan.pulse import signatures
from suspirium.plan.verse_facts import plan_foot, plan_metre, plan_wrong_stresses
from suspirium.render.numbers import number
from suspirium.render.service_json import introduction_values, key_values
from suspirium.render.words import key_name, tempo_words
from suspirium.score.sounding import measure_at
from suspirium.verse.accents import WrongStress

FORMAT = "suspirium-plan/1"


def plan_values(plan: LeadingPlan, source: str) -> dict[str, Any]:
    """The whole plan as plain values, lengths in quarter notes, times in seconds."""
    return {
        "format": FORMAT,
        "source": source,
        "hymn": _hymn(plan),
        "room": {"rt_s": plan.room.rt_s, "distance_m": plan.room.distance_m},
        "singers": plan.singers,
        "pulse": _pulse(plan),
        "tempo": _tempo(plan),
        "phrases": [_phrase(plan, phrase) for phrase in plan.phrases],
        "stanza_gap": _gap(plan),
        "ending": {
            "hold_q": number(plan.ending.value.hold_q),
            "broaden": plan.ending.value.broaden,
            **_why(plan.ending),
        },
        "touch": [_touch(plan, touch) for touch in plan.touches],
        "introduction": introduction_values(plan),
        "key": key_values(plan),
        "warnings": [{"text": remark.text, "place": str(remark.place)} for remark in plan.remarks],
    }


def failure_values(source: str, message: str) -> dict[str, Any]:
    """What stands in the place of a plan that could not be made."""
    return {"format": FORMAT, "source": source, "error": message}


def _why(decision: Decision[Any]) -> dict[str, Any]:
    return {"reason": decision.reason, "overridden": decision.overridden}


def _hymn(plan: LeadingPlan) -> dict[str, Any]:
    hymn = plan.hymn
    times = signatures(hymn)
    return {
        "title": hymn.title,
        "tune": hymn.tune,
        "metre": plan_metre(plan),
        "foot": _foot(plan),
        "key": key_name(plan),
        "time_signature": str(times[0]) if times else "free",
        "pickup_q": number(hymn.pickup_q),
        "melody_notes": sum(not note.is_rest for note in hymn.melody.notes),
        "stanzas": len(hymn.stanzas),
        "voices": [voice.name for voice in hymn.voices],
        "wrong_stresses": [_wrong(plan, wrong) for wrong in plan_wrong_stresses(plan)],
    }


def _foot(plan: LeadingPlan) -> dict[str, Any] | None:
    found = plan_foot(plan)
    return None if found is None else {"name": found.name, "confidence": round(found.confidence, 3)}


def _wrong(plan: LeadingPlan, wrong: WrongStress) -> dict[str, Any]:
    return {
        "stanza": plan.hymn.stanzas[wrong.stanza].number,
        "phrase": plan.phrases[wrong.line].number,
        "word": wrong.word,
        "stressed": {"text": wrong.stressed.text, "onset_q": number(wrong.stressed.onset_q)},
        "heavy": {"text": wrong.heavy.text, "onset_q": number(wrong.heavy.onset_q)},
    }


def _pulse(plan: LeadingPlan) -> dict[str, Any]:
    pulse = plan.pulse.value
    per_bar = None if pulse.per_bar is None else number(pulse.per_bar)
    return {
        "unit_q": number(pulse.unit_q),
        "per_bar": per_bar,
        "words": tempo_words(plan),
        **_why(plan.pulse),
    }


def _tempo(plan: LeadingPlan) -> dict[str, Any]:
    tempo = plan.tempo.value
    return {
        "quarter_bpm": tempo.quarter_bpm,
        "pulse_bpm": round(tempo.quarter_bpm / float(plan.pulse.value.unit_q), 2),
        "low_quarter_bpm": round(tempo.low_quarter_bpm, 2),
        "high_quarter_bpm": round(tempo.high_quarter_bpm, 2),
        "bound_by": plan.tempo.bound_by,
        "bounds": [
            {
                "name": b.name,
                "side": b.side,
                "quarter_bpm": round(b.quarter_bpm, 2),
                "measure": b.measure,
                "reason": b.reason,
            }
            for b in tempo.bounds
        ],
        **_why(plan.tempo),
    }


def _phrase(plan: LeadingPlan, phrase: Phrase) -> dict[str, Any]:
    return {
        "number": phrase.number,
        "measure": measure_at(plan.hymn, phrase.last_onset_q).number,
        "first_onset_q": number(phrase.first_onset_q),
        "last_onset_q": number(phrase.last_onset_q),
        "written_q": number(phrase.written_q),
        "hold_q": number(phrase.hold_q),
        "lift_q": number(phrase.lift_q),
        "rest_q": number(phrase.rest_q),
        "stretch_q": number(phrase.stretch_q),
        "added_q": number(phrase.added_q),
        "stanzas": [
            {"stanza": b.stanza, "breath": b.kind, "reason": b.reason} for b in phrase.breaths
        ],
        "reason": phrase.reason,
        "found_by": phrase.evidence,
        "confidence": round(phrase.confidence, 3),
        "overridden": phrase.overridden,
    }


def _gap(plan: LeadingPlan) -> dict[str, Any]:
    gap = plan.gap.value
    return {
        "hold_q": number(gap.hold_q),
        "silence_q": number(gap.silence_q),
        "extra_q": number(gap.extra_q),
        "onset_to_onset_q": number(gap.onset_to_onset_q),
        "silence_s": round(gap.silence_s, 3),
        **_why(plan.gap),
    }


def _touch(plan: LeadingPlan, touch: Touch) -> dict[str, Any]:
    return {
        "kind": touch.kind,
        "onset_q": number(touch.onset_q),
        "measure": measure_at(plan.hymn, touch.onset_q).number,
        "voice": touch.voice,
        "gives_up_q": number(touch.gives_up_q),
        "reason": touch.reason,
    }
