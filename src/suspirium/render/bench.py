"""What the bench sheet says of one hymn, shared by paper and text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from suspirium.plan.gap import counts
from suspirium.plan.model import BreathKind, LeadingPlan, Phrase
from suspirium.plan.pulse import counted_beat_q, note_name
from suspirium.render.typography import curly
from suspirium.render.words import key_name, ranges, tempo_words
from suspirium.score.model import Syllable
from suspirium.score.words import plain_text, sung
from suspirium.service.opening import opening_of
from suspirium.service.organ import Organ
from suspirium.service.registration.model import Registration, StanzaRegistration
from suspirium.service.served import Served

Line = tuple[str, str]  # its head ("Great", "add", or nothing) and its text

MOST_DRAWN = 3  # lines that differ by stanza and are drawn; more are told in words
_INCIPIT = 5  # words


@dataclass(frozen=True, slots=True)
class LineEnd:
    """How one line ends in one stanza, in counts: `hold` sounds, the rest of `written` is
    silent."""

    line: int
    kind: BreathKind
    hold: Fraction
    written: Fraction


@dataclass(frozen=True, slots=True)
class Row:
    """One stanza (0: the introduction): its step, what is drawn or moved, its first words,
    how the lines end that differ between stanzas, and lines that carry, in words."""

    stanza: int
    step: str
    stops: tuple[Line, ...]
    incipit: str
    ends: tuple[LineEnd, ...]
    carries: str


@dataclass(frozen=True, slots=True)
class Bench:
    """One hymn on the bench sheet."""

    title: str
    tune: str
    key: str
    first_line: str
    pulse_q: Fraction
    pulse_bpm: int
    pulse_note: str
    motion: str
    stanza_s: int
    introduction: str
    joint: str
    rows: tuple[Row, ...]
    lines: tuple[str, ...]
    gap: str
    gap_s: float
    ending: str
    amen: str


def bench_of(hymn: Served, organ: Organ | None) -> Bench:
    """Everything to play one hymn from."""
    plan = hymn.plan
    differing = _differing(plan, hymn.stanzas)
    texts = {number: sung(plan.hymn, number) for number in hymn.stanzas}
    stanza_s = next(p.seconds for p in hymn.played.parts if p.name.startswith("stanza"))
    pulse_q, gap = plan.pulse.value.unit_q, plan.gap.value
    beat_q = counted_beat_q(plan.hymn)
    return Bench(
        title=hymn.title,
        tune=plan.hymn.tune,
        key=key_name(plan),
        first_line=_first_line(plan, hymn.stanzas[0]),
        pulse_q=pulse_q,
        pulse_bpm=round(plan.tempo.value.quarter_bpm / float(pulse_q)),
        pulse_note=note_name(pulse_q),
        motion=tempo_words(plan),
        stanza_s=round(stanza_s),
        introduction=_introduction(hymn),
        joint=_joint(hymn, beat_q),
        rows=tuple(
            Row(
                stanza=number,
                step=_step(hymn, hymn.row(number)),
                stops=_stops(hymn, organ, number),
                incipit=_incipit(texts.get(number, ())),
                ends=tuple(_end(plan, phrase, number) for phrase in differing[:MOST_DRAWN])
                if number and len(differing) <= MOST_DRAWN
                else (),
                carries=_carries(differing, number)
                if number and len(differing) > MOST_DRAWN
                else "",
            )
            for number in ([0] if hymn.row(0) else []) + list(hymn.stanzas)
        ),
        lines=tuple(_common(plan, hymn.stanzas, beat_q)),
        gap=f"hold {counts(gap.hold_q, beat_q)}, lift {counts(gap.silence_q, beat_q)}",
        gap_s=gap.silence_s,
        ending=_ending(plan, beat_q),
        amen=_amen(hymn),
    )


def _first_line(plan: LeadingPlan, stanza: int) -> str:
    first = plan.phrases[0]
    line = curly(
        plain_text(tuple(s for s in sung(plan.hymn, stanza) if s.onset_q <= first.last_onset_q))
    )
    return "" if _letters(line).startswith(_letters(plan.hymn.title)) else line


def _incipit(words: Sequence[Syllable]) -> str:
    return " ".join(plain_text(tuple(words)).split()[:_INCIPIT]).rstrip(",;:.!?")


def _letters(text: str) -> str:
    return "".join(sign for sign in text.casefold() if sign.isalnum())


def _introduction(hymn: Served) -> str:
    found = hymn.introduction
    if found is None:
        return "none"
    if found.shape == "first and last lines":
        return f"lines {ranges(found.line_numbers, ' and ')}"
    if found.shape in ("last line", "last two lines", "whole tune", "end of last line"):
        return found.shape
    if len(found.line_numbers) == 1:
        return f"line {found.line_numbers[0]}"
    return f"lines {found.line_numbers[0]} to {found.line_numbers[-1]}"


def _joint(hymn: Served, beat_q: Fraction) -> str:
    """How the introduction ends, where it is not with the stanza gap itself."""
    if hymn.introduction is None:
        return ""
    seconds = f"{hymn.introduction.seconds:.0f} s, no slowing"
    joint, gap = opening_of(hymn.plan, hymn.introduction).joint, hymn.plan.gap.value
    if (joint.hold_q, joint.onset_to_onset_q) == (gap.hold_q, gap.onset_to_onset_q):
        return f"{seconds}; then the gap"
    return f"{seconds}; hold {counts(joint.hold_q, beat_q)}, lift {counts(joint.silence_q, beat_q)}"


def _differing(plan: LeadingPlan, stanzas: tuple[int, ...]) -> list[Phrase]:
    return [
        phrase
        for phrase in plan.phrases[:-1]
        if len({phrase.breath(number) for number in stanzas}) > 1
    ]


def _end(plan: LeadingPlan, phrase: Phrase, stanza: int) -> LineEnd:
    beat_q = counted_beat_q(plan.hymn)
    kind = phrase.breath(stanza)
    hold_q = phrase.written_q if kind == "carry" else phrase.hold_q
    return LineEnd(phrase.number, kind, hold_q / beat_q, phrase.written_q / beat_q)


def _carries(differing: list[Phrase], stanza: int) -> str:
    """What happens here at the lines that differ from stanza to stanza."""
    words = {"carry": "carry", "part": "melody lifts"}
    parts = []
    for kind, what in words.items():
        numbers = [phrase.number for phrase in differing if phrase.breath(stanza) == kind]
        if numbers:
            parts.append(f"{what} {ranges(numbers)}")
    return "; ".join(parts) or "all lift"


def _common(plan: LeadingPlan, stanzas: tuple[int, ...], beat_q: Fraction) -> Iterator[str]:
    """Line ends that are the same in every stanza, those alike joined."""
    by_text: dict[str, list[int]] = {}
    differing = {phrase.number for phrase in _differing(plan, stanzas)}
    for phrase in plan.phrases[:-1]:
        if phrase.number in differing:
            continue
        kind = phrase.breath(stanzas[0])
        if kind == "carry":
            text = "carried on"
        elif not phrase.lift_q:
            text = "held in full"
        else:
            text = f"hold {counts(phrase.hold_q, beat_q)}, lift {counts(phrase.lift_q, beat_q)}"
            if kind == "part":
                text += " (the melody)"
        by_text.setdefault(text, []).append(phrase.number)
    for text, numbers in by_text.items():
        yield f"Line{'s' if len(numbers) > 1 else ''} {ranges(numbers)}: {text}."


def _ending(plan: LeadingPlan, beat_q: Fraction) -> str:
    ending = plan.ending.value
    broad = f"last line broader by {ending.broaden:.0%}; " if ending.broaden else "no slowing; "
    return f"{broad}last chord {counts(ending.hold_q, beat_q)}"


def _amen(hymn: Served) -> str:
    if hymn.amen is None:
        return ""
    roots = [chord[-1] for chord in (hymn.amen.subdominant, hymn.amen.tonic)]
    names = [f"{root.step}{'♭' * -root.alter}{'♯' * root.alter}" for root in roots]
    return f"{names[0]}, then {names[1]}, after the silence of a gap"


def _step(hymn: Served, row: StanzaRegistration | None) -> str:
    if row is None:
        return ""
    piston = f", piston {piston_number(hymn, row)}" if row.by_piston else ""
    return f"Step {row.step:.0f}{piston}"


def _stops(hymn: Served, organ: Organ | None, stanza: int) -> tuple[Line, ...]:
    """All that is drawn where it is new or on a piston; else what is added and put in."""
    row = hymn.row(stanza)
    if row is None or organ is None:
        return ()
    first = row is hymn.rows[0]
    before = None if first else hymn.rows[hymn.rows.index(row) - 1].registration
    played = _played_on(organ, row.registration, before)
    if first or row.by_piston:
        lines = list(drawn_lines(organ, row.registration))
    else:
        moved = (("add", row.draw), ("off", row.put_in))
        lines = [(what, ", ".join(names)) for what, names in moved if names]
        if not lines and not played:
            lines = [("", "as before")]
    return (*lines, *((("", played),) if played else ()))


def _played_on(organ: Organ, after: Registration, before: Registration | None) -> str:
    """Manual, pedal and box where they are not as they were."""
    parts = []
    if after.solo:
        parts.append(f"melody on {after.solo}, the rest on {after.main}")
    elif len(organ.manuals) > 1 and (before is None or before.main != after.main or before.solo):
        parts.append(f"play on {after.main}")
    if organ.pedal is not None and (before is None or bool(before.pedal) != bool(after.pedal)):
        parts.append("with pedal" if after.pedal else "hands alone")
    if before is None and after.shut:
        parts.append("box closed")
    elif before is not None and before.shut != after.shut:
        parts.append("box closed" if after.shut else "box open")
    return "; ".join(parts)


def drawn_lines(organ: Organ, registration: Registration) -> Iterator[Line]:
    """What is drawn, a division a line, then the couplers."""
    for division in organ.divisions:
        names = [stop.name for stop in registration.of(division.name)]
        if names and division.name in registration.divisions:
            yield division.name, ", ".join(names)
    if registration.couplers:
        yield "", ", ".join(coupler.name for coupler in registration.couplers)


def piston_number(hymn: Served, row: StanzaRegistration) -> int:
    """Which of the hymn's pistons a registration is set on, from 1 in the order of use."""
    wanted = list(dict.fromkeys(one.registration for one in hymn.rows if one.by_piston))
    return wanted.index(row.registration) + 1
