"""The plan in plain words, shared by the page, the text and the JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import groupby

from suspirium.plan.model import LeadingPlan, Phrase
from suspirium.plan.pulse import note_name
from suspirium.plan.verse_facts import plan_foot, plan_metre
from suspirium.score.keynames import key_words
from suspirium.tables import load
from suspirium.verse.foot import MIXED
from suspirium.verse.metre import metre_name

_COUNT = {1: "In one", 2: "In two", 3: "In three", 4: "In four", 5: "In five", 6: "In six"}


def key_name(plan: LeadingPlan) -> str:
    """The key as the hymn prints it: "F major", "D dorian"."""
    key = plan.hymn.keys[0]
    return key_words(key.fifths, key.mode)


def verse_words(plan: LeadingPlan) -> str:
    """The metre of the words, with its name where it has one, and their foot."""
    metre, found = plan_metre(plan), plan_foot(plan)
    counts = metre.split(".")
    name = metre_name([int(count) for count in counts]) if all(map(str.isdigit, counts)) else ""
    foot = found.name if found and found.name != MIXED else ""
    said = f"{metre} ({name})" if name and not name[0].isdigit() else metre
    return ", ".join(part for part in (said, foot) if part)


def tempo_words(plan: LeadingPlan) -> str:
    """How many pulses a bar has and how they move: "In two, at a walk"."""
    pulse = plan.pulse.value
    bpm = plan.tempo.value.quarter_bpm / float(pulse.unit_q)
    motion = next(word for limit, word in load("pulse")["motion_words"] if bpm < limit)
    if pulse.per_bar is None or pulse.per_bar.denominator != 1:
        return f"Freely counted, {motion}"
    return f"{_COUNT.get(int(pulse.per_bar), f'In {pulse.per_bar}')}, {motion}"


def pulse_words(plan: LeadingPlan) -> str:
    """The pulse as a sentence's beginning: "One pulse to each half note"."""
    return f"One pulse to each {note_name(plan.pulse.value.unit_q)}"


def ranges(numbers: Iterable[int], between: str = ", ") -> str:
    """Ascending numbers for reading, runs of three and more joined: "1, 3–5, 8"."""
    ordered = sorted(set(numbers))
    parts = []
    for _, run in groupby(enumerate(ordered), lambda item: item[1] - item[0]):
        members = [number for _, number in run]
        if len(members) > 2:
            parts.append(f"{members[0]}–{members[-1]}")
        else:
            parts.extend(str(number) for number in members)
    return between.join(parts)


def line_heads(plan: LeadingPlan) -> Iterator[tuple[str, str]]:
    """The reasons at the line ends, lines with the same reason joined.

    Yields ("Lines 1, 3.", text) in order of first occurrence.
    """
    by_text: dict[str, list[int]] = {}
    for phrase in plan.phrases[:-1]:
        by_text.setdefault(_line_reason(phrase), []).append(phrase.number)
    for text, numbers in by_text.items():
        head = "Line" if len(numbers) == 1 else "Lines"
        yield f"{head} {', '.join(str(n) for n in numbers)}.", text
    if plan.before_repeat is not None:
        yield f"Line {plan.before_repeat.number} before the repeat.", plan.before_repeat.reason


def _line_reason(phrase: Phrase) -> str:
    by_kind: dict[tuple[str, str], list[int]] = {}
    for breath in phrase.breaths:
        by_kind.setdefault((breath.kind, breath.reason), []).append(breath.stanza)
    if len(by_kind) <= 1:
        said = next(iter(by_kind), ("full", ""))[1]
        return " ".join(part for part in (said, phrase.reason if _lifts(phrase) else "") if part)
    parts = []
    for (_, reason), stanzas in by_kind.items():
        label = "Stanza" if len(stanzas) == 1 else "Stanzas"
        parts.append(f"{label} {', '.join(map(str, stanzas))}: {reason[0].lower()}{reason[1:]}")
    return " ".join([*parts, phrase.reason])


def _lifts(phrase: Phrase) -> bool:
    return not phrase.breaths or any(breath.kind != "carry" for breath in phrase.breaths)


def quarters(value: Fraction) -> str:
    """A length in quarters for reading: "1/2", "3"."""
    return str(value)
