"""The reasons as the page prints them: each said once, headed by the lines it holds for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from suspirium.plan.model import LeadingPlan, Phrase
from suspirium.plan.pulse import counted_beat_q, note_name
from suspirium.render.words import ranges

_PLACES_NAMED = 3  # lines whose stanzas are told one by one; more is for the rails to show

Reason = tuple[str, str]  # head, text


def page_reasons(plan: LeadingPlan) -> list[Reason]:
    """Head and text of every reason in reading order; the legend and remarks last."""
    return [
        ("Pulse.", plan.pulse.reason),
        ("Tempo.", plan.tempo.reason),
        *_breath_reasons(plan),
        *_lift_reasons(plan),
        *_repeat_reason(plan),
        ("Ending.", plan.ending.reason),
        ("Signs.", signs(plan)),
        *(("Note.", _sentence(str(remark))) for remark in plan.remarks),
    ]


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _lines(numbers: Sequence[int]) -> str:
    return f"{'Line' if len(set(numbers)) == 1 else 'Lines'} {ranges(numbers)}"


def _breath_reasons(plan: LeadingPlan) -> Iterator[Reason]:
    """Why people breathe, in part or not, with the lines (and stanzas) where."""
    lines: dict[str, list[int]] = {}
    some: dict[str, dict[int, list[int]]] = {}
    for phrase in plan.phrases[:-1]:
        stanzas: dict[str, list[int]] = {}
        for breath in phrase.breaths:
            stanzas.setdefault(breath.reason, []).append(breath.stanza)
        for text, members in stanzas.items():
            lines.setdefault(text, [])
            if len(stanzas) == 1:
                lines[text].append(phrase.number)
            else:
                some.setdefault(text, {})[phrase.number] = members
    for text, whole in lines.items():
        yield _head(whole, some.get(text, {})) + ".", text


def _head(whole: Sequence[int], some: dict[int, list[int]]) -> str:
    """The lines of all stanzas, then those of some."""
    parts = [_lines(whole)] if whole else []
    if 0 < len(some) <= _PLACES_NAMED:
        for number, stanzas in some.items():
            word = "stanza" if len(stanzas) == 1 else "stanzas"
            parts.append(f"line {number} in {word} {ranges(stanzas)}")
    elif some:
        parts.append(f"{_lines(list(some)).lower()} where the rail says so")
    head = "; ".join(parts)
    return head[:1].upper() + head[1:]


def _lift_reasons(plan: LeadingPlan) -> Iterator[Reason]:
    """What the last notes give up, by the lines that give it."""
    by_text: dict[str, list[int]] = {}
    for phrase in plan.phrases[:-1]:
        if _lifts(phrase):
            by_text.setdefault(phrase.reason, []).append(phrase.number)
    for text, numbers in by_text.items():
        everywhere = len(by_text) == 1 and len(numbers) == len(plan.phrases) - 1
        yield ("Lift." if everywhere else f"Lift, {_lines(numbers).lower()}."), text


def _lifts(phrase: Phrase) -> bool:
    return not phrase.breaths or any(breath.kind != "carry" for breath in phrase.breaths)


def _repeat_reason(plan: LeadingPlan) -> Iterator[Reason]:
    if plan.before_repeat is not None:
        yield f"Line {plan.before_repeat.number} before the repeat.", plan.before_repeat.reason


def signs(plan: LeadingPlan) -> str:
    """The legend: only signs that occur on these pages."""
    phrases = [*plan.phrases[:-1], *filter(None, [plan.before_repeat])]
    kinds = {b.kind for phrase in phrases for b in phrase.breaths} or {"full"}
    touches = {touch.kind for touch in plan.touches}
    said = [f"Strokes: {note_name(counted_beat_q(plan.hymn))}s that sound."]
    if kinds & {"full", "part"}:
        said.append("Ring: the lift begins; comma: breathe.")
    if "part" in kinds:
        said.append("Dotted line: the other voices go on.")
    if "carry" in kinds:
        said.append("Arrow: carry, no breath.")
    if touches & {"repeat", "bass_repeat"}:
        said.append("Dot: the note gives way to the next.")
    if "pickup" in touches:
        said.append("Dot and dash: the pickup is detached.")
    return " ".join([*said, "Rule on top: a tick for each pulse."])
