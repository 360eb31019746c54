"""A plan as its page shows it: the summary, each line's end, each decision's field."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from suspirium.desk.showing import Shown
from suspirium.plan.consequences import Consequences, consequences
from suspirium.plan.gap import counts
from suspirium.plan.model import BreathKind, LeadingPlan, Phrase
from suspirium.plan.overrides import PhraseOverride
from suspirium.plan.pulse import counted_beat_q, note_name
from suspirium.render.engrave.notehead import note_path
from suspirium.render.words import ranges, tempo_words
from suspirium.score.sounding import measure_at

_PULSES = ("1/2", "1", "3/2", "2", "3", "4")


@dataclass(frozen=True, slots=True)
class Rail:
    """A line's end drawn: strokes that sound, then the lift's ring or the carry's arrow."""

    kind: BreathKind
    strokes: int


@dataclass(frozen=True, slots=True)
class Ending:
    """What some stanzas do at a line's end; `stanzas` is empty for all."""

    stanzas: str
    rail: Rail
    yours: bool


@dataclass(frozen=True, slots=True)
class LineView:
    """One line of the poem: what happens at its end, and its fields."""

    number: int
    measure: int
    ends: tuple[Ending, ...]
    reason: str
    reasons: tuple[tuple[str, str], ...]
    planned_lift: str
    lift: str
    planned: dict[int, BreathKind]
    chosen: dict[int, str]
    last: bool


@dataclass(frozen=True, slots=True)
class Field:
    """A number the organist may set: what is set, what the plan says, and the reason."""

    name: str
    value: str
    planned: str
    reason: str
    least: str
    most: str
    step: str


@dataclass(frozen=True, slots=True)
class PlanView:
    """All that the page says of a plan."""

    words: str
    pulse_bpm: str
    pulse_glyph: str
    pulse_name: str
    unit_q: float
    beat_name: str
    gap_words: str
    result: Consequences
    lines: tuple[LineView, ...]
    fields: dict[str, Field]
    pulses: tuple[tuple[str, str], ...]
    pulse_q: str
    tempo_unit_q: str
    tempo_note: str
    remarks: tuple[str, ...]


def plan_view(shown: Shown, plan: LeadingPlan | None = None) -> PlanView:
    """The page's view of a hymn; `plan` in its place where other decisions are tried."""
    plan = plan or shown.plan
    pulse = plan.pulse.value
    gap, beat_q = plan.gap.value, counted_beat_q(plan.hymn)
    return PlanView(
        words=tempo_words(plan),
        pulse_bpm=f"{plan.tempo.value.quarter_bpm / float(pulse.unit_q):.0f}",
        pulse_glyph=glyph(pulse.unit_q),
        pulse_name=note_name(pulse.unit_q),
        unit_q=float(pulse.unit_q),
        beat_name=note_name(beat_q),
        gap_words=f"hold {counts(gap.hold_q, beat_q)}, lift {counts(gap.silence_q, beat_q)}",
        result=consequences(plan),
        lines=tuple(_line(shown, plan, phrase, beat_q) for phrase in plan.phrases),
        fields={field.name: field for field in _fields(shown, plan, beat_q)},
        pulses=tuple((text, note_name(Fraction(text))) for text in _PULSES),
        pulse_q="" if shown.own.pulse_q is None else str(shown.own.pulse_q),
        tempo_unit_q=str(tempo_unit_q(shown)),
        tempo_note=note_name(tempo_unit_q(shown)),
        remarks=tuple(str(remark) for remark in plan.remarks),
    )


def glyph(length_q: Fraction) -> str:
    """A note of this length as SVG, in the colour of the text around it."""
    path, (x0, y0, x1, y1) = note_path(length_q, 0.0, 0.0)
    box = f"{x0 - 10:.0f} {y0 - 10:.0f} {x1 - x0 + 20:.0f} {y1 - y0 + 20:.0f}"
    return (
        f'<svg class="glyph" viewBox="{box}" aria-hidden="true">'
        f'<path d="{path}" fill="currentColor"/></svg>'
    )


def tempo_unit_q(shown: Shown) -> Fraction:
    """The note that the tempo is asked for in: the pulse that was set or planned."""
    return shown.own.pulse_q or shown.alone.pulse.value.unit_q


def shown_number(value: Fraction | float | None) -> str:
    """A number as it is typed: "2", "2.5"; nothing for None."""
    return "" if value is None else f"{float(value):.3f}".rstrip("0").rstrip(".")


def _fields(shown: Shown, plan: LeadingPlan, beat_q: Fraction) -> Iterator[Field]:
    own, gap, end = shown.own, plan.gap.value, plan.ending.value
    unit = float(tempo_unit_q(shown))
    own_tempo = own.quarter_bpm is not None or own.pulse_bpm is not None
    tempo = shown.alone.tempo.value.quarter_bpm / unit
    yield Field(
        "tempo",
        shown_number(round(shown.plan.tempo.value.quarter_bpm / unit, 1)) if own_tempo else "",
        f"{tempo:.0f}",
        plan.tempo.reason,
        "5",
        "400",
        "1",
    )
    for name, kept, value, reason in (
        ("gap_hold", own.gap_hold_q, gap.hold_q, plan.gap.reason),
        ("gap_lift", own.gap_silence_q, gap.silence_q, ""),
        ("ending", own.ending_hold_q, end.hold_q, plan.ending.reason),
    ):
        counted = None if kept is None else kept / beat_q
        yield Field(
            name, shown_number(counted), shown_number(value / beat_q), reason, "0", "64", "0.5"
        )
    share = None if own.broaden is None else 100 * own.broaden
    yield Field("broaden", shown_number(share), shown_number(100 * end.broaden), "", "0", "50", "1")


def _line(shown: Shown, plan: LeadingPlan, phrase: Phrase, beat_q: Fraction) -> LineView:
    own = shown.own.phrases.get(phrase.number, PhraseOverride())
    alone = {p.number: p for p in shown.alone.phrases}.get(phrase.number, phrase)
    return LineView(
        number=phrase.number,
        measure=measure_at(plan.hymn, phrase.last_onset_q).number,
        ends=tuple(_ends(plan, phrase, own, beat_q)),
        reason=phrase.reason,
        reasons=tuple(_reasons(plan, phrase)),
        planned_lift=shown_number(alone.lift_q / beat_q),
        lift=shown_number(None if own.lift_q is None else own.lift_q / beat_q),
        planned={n: alone.breath(n) for n in plan.stanza_numbers},
        chosen={n: own.breath(n) or "" for n in plan.stanza_numbers},
        last=phrase is plan.phrases[-1],
    )


def _ends(
    plan: LeadingPlan, phrase: Phrase, own: PhraseOverride, beat_q: Fraction
) -> Iterator[Ending]:
    """Stanzas that do the same, together."""
    groups: dict[tuple[BreathKind, bool], list[int]] = {}
    for number in plan.stanza_numbers:
        yours = own.breath(number) is not None or own.lift_q is not None
        groups.setdefault((phrase.breath(number), yours), []).append(number)
    for (kind, yours), members in groups.items():
        yield Ending(_some(plan, members), rail(phrase, kind, beat_q), yours)


def _reasons(plan: LeadingPlan, phrase: Phrase) -> Iterator[tuple[str, str]]:
    """Why, by stanzas, then what the last note gives up."""
    groups: dict[str, list[int]] = {}
    for breath in phrase.breaths:
        groups.setdefault(breath.reason, []).append(breath.stanza)
    for reason, members in groups.items():
        yield _some(plan, members), reason
    if any(phrase.breath(n) != "carry" for n in plan.stanza_numbers):
        yield "", phrase.reason


def _some(plan: LeadingPlan, members: list[int]) -> str:
    return "" if len(members) == len(plan.stanza_numbers) else ranges(members)


def rail(phrase: Phrase, kind: BreathKind, beat_q: Fraction) -> Rail:
    """The count rail of a line's end in small."""
    sounding = phrase.written_q if kind == "carry" else phrase.hold_q
    return Rail(kind, max(1, min(8, round(sounding / beat_q))))
