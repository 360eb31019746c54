"""The places of a take that are worth looking at in the score: what is said, and where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from suspirium.plan.model import LeadingPlan
from suspirium.render.take_words import beats, note_names, repeated, times
from suspirium.render.words import ranges
from suspirium.tables import load
from suspirium.take.lines import breath_long, breath_short, usual_gap
from suspirium.take.report import LineEnd, NoteFault, TakeReport

Sign = Literal["wrong", "missing", "extra", "line"]


@dataclass(frozen=True, slots=True)
class Spot:
    """One remark at one place of the score.

    `voice` is the voice whose note is meant; empty for a line's end, which belongs to all.
    `stanzas` are those in which it happened, for reading ("2", "1–3", "introduction").
    """

    onset_q: Fraction
    voice: str
    midi: int | None
    sign: Sign
    stanzas: str
    text: str


def spots(report: TakeReport, plan: LeadingPlan) -> tuple[Spot, ...]:
    """Every note that went wrong, every beat added or lost, every lift and gap that was too
    short or too long, in score order; the same thing in several stanzas is one spot."""
    found: dict[tuple[Fraction, str, int | None, Sign, str], set[int]] = {}
    rows = (*_notes(report), *_line_ends(report, plan), *_restarts(report, plan))
    for at_q, voice, midi, sign, text, stanza in rows:
        found.setdefault((at_q, voice, midi, sign, text), set()).add(stanza)
    ordered = sorted(found, key=lambda key: (key[0], key[1], min(found[key]), key[4]))
    return tuple(Spot(*key[:4], _stanzas(found[key]), key[4]) for key in ordered)


def _stanzas(numbers: set[int]) -> str:
    sung = ranges(number for number in numbers if number)
    return ", ".join(part for part in ("introduction" * (0 in numbers), sung) if part)


_Row = tuple[Fraction, str, int | None, Sign, str, int]


def _notes(report: TakeReport) -> Iterator[_Row]:
    for fault in report.faults:
        sign: Sign = (
            "wrong" if fault.kind == "wrong" else "missing" if fault.kind == "missing" else "extra"
        )
        yield (
            fault.onset_q,
            fault.voice,
            fault.expected_midi,
            sign,
            _note_words(fault),
            fault.stanza,
        )


def _note_words(fault: NoteFault) -> str:
    played, expected = note_names(fault)
    if fault.kind == "wrong":
        return f"{played} for {expected}"
    if fault.kind == "missing":
        return f"no {expected}"
    return f"+ {played}"


def _restarts(report: TakeReport, plan: LeadingPlan) -> Iterator[_Row]:
    """Where something was begun again."""
    measures = {measure.number: measure.onset_q for measure in reversed(plan.hymn.measures)}
    lines = {phrase.number: phrase.first_onset_q for phrase in plan.phrases}
    for restart, count in repeated(report):
        at_q = lines.get(restart.phrase, measures.get(restart.again_measure))
        if at_q is not None:
            yield at_q, "", None, "line", f"from here {times(count)}", restart.stanza


def _line_ends(report: TakeReport, plan: LeadingPlan) -> Iterator[_Row]:
    for end in report.line_ends:
        for text in _line_words(end):
            yield end.onset_q, "", None, "line", text, end.stanza
    if len(report.gaps) < 2:
        return
    usual_s = usual_gap(report.gaps, report.planned_gap_q).onset_to_onset_s
    others = "other" if len(report.gaps) == 2 else "others"
    for gap in report.gaps:
        late_s = gap.onset_to_onset_s - usual_s
        if abs(late_s) > load("take").number("gap.spread_s"):
            longer = "longer" if late_s > 0 else "shorter"
            text = f"gap {abs(late_s):.1f} s {longer} than the {others}"
            yield plan.phrases[-1].last_onset_q, "", None, "line", text, gap.after_stanza


def _line_words(end: LineEnd) -> Iterator[str]:
    least_q = load("take").number("added.least_q")
    added = abs(end.added_q) >= least_q
    if added:
        yield f"{beats(abs(end.added_q))} {'added' if end.added_q > 0 else 'lost'}"
    if breath_short(end.silence_s, end.planned_silence_s):
        none = end.silence_s < load("take").number("midi.message_s")
        yield "no lift" if none else f"lift too short ({end.silence_s:.1f} s)"
    elif not added and breath_long(end.silence_s, end.planned_silence_s):
        yield f"lift too long ({end.silence_s:.1f} s)"
