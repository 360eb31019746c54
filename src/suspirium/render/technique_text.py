"""Hands and feet in words: the effort, what it is made of, and what to practise."""

from __future__ import annotations

from collections.abc import Iterator

from suspirium.plan.model import LeadingPlan
from suspirium.render.textlines import item
from suspirium.technique import A_START, CARE
from suspirium.technique.model import Effort, HardPassage, PlayedNote, Technique

_HANDS = {"right": "right hand", "left": "left hand", "pedal": "pedal"}
_COMPONENTS = (
    ("right", "right hand"),
    ("left", "left hand"),
    ("pedal", "pedal"),
    ("independence", "parts moving apart"),
    ("chromaticism", "notes outside the key"),
)


def technique_text(plan: LeadingPlan, technique: Technique) -> str:
    """About a screen of text."""
    return "\n".join(_lines(plan, technique))


def _lines(plan: LeadingPlan, technique: Technique) -> Iterator[str]:
    effort = technique.effort
    yield plan.hymn.title or "Hymn"
    yield from item("Effort", f"{effort.hymn:.1f} of 5. {effort.words}")
    parts = [f"{name} {effort.components[key]:.0f}" for key, name in _COMPONENTS]
    length = f"length {effort.components['length']:.0f} onsets"
    yield from item("Points", f"{', '.join([*parts, length])}.")
    if len(effort.pairs) > 1:
        yield from item("Pairs", f"{', '.join(_pairs(effort))}.")
    yield from item("Hands", _sharing(technique))
    if feet := _feet(technique):
        yield from item("Feet", feet)
    for number, passage in enumerate(effort.passages):
        yield from item("" if number else "Practise", _passage(passage))
    for remark in technique.remarks:
        yield from item("Note", f"{remark}.")
    yield from item("Marks", A_START)
    yield from item("Care", CARE)


def _pairs(effort: Effort) -> Iterator[str]:
    """Points of two players together, the dearest pair first."""
    for pair, points in sorted(effort.pairs.items(), key=lambda one: -one[1]):
        yield f"{_HANDS[pair[0]]} with {_HANDS[pair[1]]} {points:.0f}"


def _feet(technique: Technique) -> str:
    """For how many keys a free foot can wait; nothing without a pedal."""
    trodden = [note for note in technique.notes if note.treads]
    if not trodden:
        return ""
    ahead = sum(note.ready_s is not None for note in trodden)
    return (
        f"For {ahead} of {len(trodden)} pedal notes the free foot can be placed ahead: "
        "while one foot plays, let the other find its key."
    )


def _passage(passage: HardPassage) -> str:
    first, last = passage.first_measure, passage.last_measure
    names = ["the pickup" if number == 0 else f"measure {number}" for number in (first, last)]
    where = names[0] if first == last else f"{names[0]} to {names[1]}"
    where = where[:1].upper() + where[1:]
    who = " and ".join(_HANDS[plays] for plays in passage.plays)
    return f"{where}, {who}: {passage.reason}"


def _sharing(technique: Technique) -> str:
    """How the keys are shared, in counts."""
    notes = technique.notes
    said = [
        f"{_HANDS[plays]} {sum(note.plays == plays for note in notes)} keys"
        for plays in _HANDS
        if any(note.plays == plays for note in notes)
    ]
    moved = sum(_alto_left(note) for note in notes)
    if moved:
        said.append(f"the alto goes to the left hand for {moved} of them")
    changes = sum(max(0, len(note.fingers) - 1, len(note.treads) - 1) for note in notes)
    if changes:
        said.append(f"{changes} silent substitution{'s' if changes > 1 else ''}")
    return f"{'; '.join(said)}."


def _alto_left(note: PlayedNote) -> bool:
    return note.voice == "alto" and note.plays == "left"
