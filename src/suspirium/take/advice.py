"""The three things most worth changing, and what was held, in plain words.

Every finding is weighed by how far it lies beyond what people notice; the heaviest of each
kind speaks, so that one fault does not fill all three lines.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite
from statistics import median

from suspirium.plan.model import LeadingPlan
from suspirium.score.sounding import measure_at
from suspirium.score.words import sung
from suspirium.tables import load
from suspirium.take.lines import breath_short, usual_gap
from suspirium.take.report import (
    Gap,
    LineEnd,
    NoteFault,
    StanzaTempo,
    TouchMeasure,
    measure_name,
)
from suspirium.take.touch_advice import together, touch_findings
from suspirium.verse.poem import words_sung

MOST = 3
_STOPS = ",.;:!?-–—\"'()“”‘’ "


@dataclass(frozen=True, slots=True)
class Finding:
    """Something to change: its weight (1 is just worth saying) and the sentence."""

    kind: str
    weight: float
    text: str


@dataclass(frozen=True, slots=True)
class Measures:
    """What advice is drawn from."""

    plan: LeadingPlan
    tempos: Sequence[StanzaTempo]
    line_ends: Sequence[LineEnd]
    gaps: Sequence[Gap]
    faults: Sequence[NoteFault]
    touches: Sequence[TouchMeasure] = ()


def advice(measures: Measures) -> tuple[str, ...]:
    """At most three sentences, the weightiest first, one of a kind."""
    ranked = sorted(_findings(measures), key=lambda finding: -finding.weight)
    chosen: dict[str, Finding] = {}
    for finding in ranked:
        if finding.weight >= 1:
            chosen.setdefault(finding.kind, finding)
    return tuple(finding.text for finding in list(chosen.values())[:MOST])


def praise(measures: Measures) -> tuple[str, ...]:
    """What was held, said in a sentence each."""
    heavy = {finding.kind for finding in _findings(measures) if finding.weight >= 1}
    held = []
    if measures.gaps and len(measures.gaps) > 1 and "gap" not in heavy:
        spread_s = _spread([gap.onset_to_onset_s for gap in measures.gaps])
        held.append(f"The stanza gap was the same every time, to {spread_s:.2f} s.")
    steady = max((tempo.steadiness_percent for tempo in measures.tempos), default=0.0)
    noticed = load("take").number("tempo.jnd")
    surely = all(_steady_at_most(tempo) <= 100 * noticed for tempo in measures.tempos)
    if measures.tempos and not heavy & {"drift", "tempo"} and surely:
        held.append(
            f"The pulse was kept: its beats varied by {steady:.1f} % at most, which nobody notices."
        )
    stanzas = [tempo.quarter_bpm for tempo in measures.tempos if tempo.stanza]
    if len(stanzas) > 1 and "tempo" not in heavy and max(stanzas) <= (1 + noticed) * min(stanzas):
        held.append(f"Every stanza had the same tempo, {_from_to(stanzas)} quarters a minute.")
    sure = load("take").number("advice.praised_confidence")
    if (
        measures.line_ends
        and all(end.confidence >= sure for end in measures.line_ends)
        and ("added" not in heavy)
    ):
        held.append("No beat was added or lost at any line end.")
    if "lift" not in heavy:
        held += _breaths(measures.line_ends)
    if "touch" not in heavy and (text := together(measures.touches)):
        held.append(text)
    return tuple(held)


def _breaths(ends: Sequence[LineEnd]) -> Iterator[str]:
    """Praise for the planned breaths, of those that are told."""
    planned = [end for end in ends if end.planned_silence_s > 0]
    told = [end.silence_s for end in planned if isfinite(end.silence_s)]
    if not told:
        return
    at_least = f"{min(told):.2f} s and more"
    if len(told) == len(planned):
        yield f"Every planned breath was there, {at_least}."
    else:
        yield (
            f"Of {len(planned)} planned breaths {len(told)} could be told, and "
            f"{'that one was' if len(told) == 1 else 'all of them were'} there, {at_least}."
        )


def _findings(measures: Measures) -> Iterator[Finding]:
    yield from _added(measures)
    yield from _gaps(measures)
    yield from _lifts(measures)
    yield from _drift(measures)
    yield from _uneven(measures)
    yield from _tempo(measures)
    yield from _notes(measures)
    for weight, text in touch_findings(measures.touches):
        yield Finding("touch", weight, text)


def _where(plan: LeadingPlan, end: LineEnd) -> str:
    return f"at the end of line {end.phrase} in stanza {end.stanza} ({_place(plan, end)})"


def _place(plan: LeadingPlan, end: LineEnd) -> str:
    """The measure and, where there are words, the one that the line ends with."""
    measure = measure_name(measure_at(plan.hymn, end.onset_q).number)
    syllables = sung(plan.hymn, plan.stanza_numbers[min(end.stanza, len(plan.stanza_numbers)) - 1])
    words = list(words_sung(s for s in syllables if s.onset_q <= end.onset_q))
    if not words or words[-1].syllables[-1].end_q <= end.onset_q:
        return measure
    return f"“{words[-1].printed.strip(_STOPS)}”, {measure}"


def _added(measures: Measures) -> Iterator[Finding]:
    least_q = load("take").number("added.least_q")
    for end in measures.line_ends:
        if abs(end.added_q) < least_q:
            continue
        beats = _beats(abs(end.added_q))
        where = _where(measures.plan, end)
        text = (
            f"Go straight on {where}: {beats} was added there; the breath comes out of the "
            "last note."
            if end.added_q > 0
            else f"Give the last note its time {where}: {beats} was lost there."
        )
        yield Finding("added", end.confidence * abs(end.added_q) / least_q, text)


def _beats(added_q: float) -> str:
    quarters = round(added_q * 4) / 4
    names = {0.25: "a quarter of a beat", 0.5: "half a beat", 0.75: "three quarters of a beat"}
    if quarters in names:
        return names[quarters]
    return "a beat" if quarters == 1 else f"{quarters:g} beats"


def _gaps(measures: Measures) -> Iterator[Finding]:
    if len(measures.gaps) < 2:
        return
    planned_q = float(measures.plan.gap.value.onset_to_onset_q)
    usual_s = usual_gap(measures.gaps, planned_q).onset_to_onset_s
    for gap in measures.gaps:
        late_s = gap.onset_to_onset_s - usual_s
        stanza = gap.after_stanza
        after = f"stanza {stanza}" if stanza else "the introduction"
        early = "early" if late_s < 0 else "late"
        surely_s = abs(late_s) - (gap.error_s if isfinite(gap.error_s) else 0.0)
        others = "other" if len(measures.gaps) == 2 else "others"
        yield Finding(
            "gap",
            surely_s / load("take").number("gap.spread_s"),
            f"Keep the gap after {after} like the {others}: stanza {stanza + 1} began "
            f"{abs(late_s):.1f} s {early} (as planned it begins on count {planned_q + 1:g}).",
        )


def _lifts(measures: Measures) -> Iterator[Finding]:
    table = load("take")
    least_s = table.number("breath.least_s")
    short = [
        end for end in measures.line_ends if breath_short(end.silence_s, end.planned_silence_s)
    ]
    if not short:
        return
    worst = min(short, key=lambda end: end.silence_s)
    lines = Counter(end.phrase for end in short)
    line, times = lines.most_common(1)[0]
    own = [worst] if times == 1 else [end for end in short if end.phrase == line]
    none = all(end.silence_s < table["breath.none_s"] for end in own)
    if times == 1:
        had = "had no time" if none else f"had {worst.silence_s:.2f} s"
        text = (
            f"Lift sooner {_where(measures.plan, worst)}: the people {had} to "
            f"breathe, {worst.planned_silence_s:.2f} s are planned."
        )
    else:
        text = (
            f"Lift sooner at the end of line {line} ({_measure(measures.plan, short, line)}): "
            f"{'there was no breath' if none else 'the breath was too short'} in "
            f"{_in_stanzas(end.stanza for end in own)}."
        )
    missing = 1 - worst.silence_s / least_s
    weight = 1 + table.number("advice.lift") * missing * len(short)
    yield Finding("lift", weight, text)


def _drift(measures: Measures) -> Iterator[Finding]:
    table = load("take")
    noticed = 100 * table.number("advice.drift") * table.number("tempo.jnd")
    for up in (True, False):
        far = [t for t in measures.tempos if (t.drift_percent > 0) is up]
        heard = [t for t in far if abs(t.drift_percent) >= noticed]
        if not heard:
            continue
        most = max(abs(t.drift_percent) for t in heard)
        where, several = _in_stanzas(t.stanza for t in heard), len(heard) > 1
        yield Finding(
            "drift",
            most / noticed,
            f"{'Hold' if up else 'Keep'} {where} {'back' if up else 'moving'}: "
            f"{'they' if several else 'it'} {'quickened' if up else 'slowed'} by "
            f"{'up to ' if several else ''}{most:.0f} % from the first line to the last.",
        )


def _uneven(measures: Measures) -> Iterator[Finding]:
    """A pulse that wavers: how much its intervals vary, where they do most."""
    table = load("take")
    if not measures.tempos:
        return
    noticed = 100 * table.number("tempo.jnd")
    worst = max(measures.tempos, key=_surely_uneven)
    yield Finding(
        "uneven",
        _surely_uneven(worst) / (table.number("advice.uneven") * noticed),
        f"Keep the pulse even, most of all in {_in_stanzas([worst.stanza])}: its beats varied by "
        f"{worst.steadiness_percent:.1f} %, a listener notices {noticed:g} %.",
    )


def _steady_at_most(tempo: StanzaTempo) -> float:
    """Variation of the pulse, in percent, and its standard error."""
    error = tempo.steadiness_error_percent
    return tempo.steadiness_percent + (error if isfinite(error) else 0.0)


def _surely_uneven(tempo: StanzaTempo) -> float:
    """Variation of the pulse, in percent, less its standard error."""
    error = tempo.steadiness_error_percent
    return tempo.steadiness_percent - (error if isfinite(error) else 0.0)


def _tempo(measures: Measures) -> Iterator[Finding]:
    window = measures.plan.tempo.value
    stanzas = [tempo for tempo in measures.tempos if tempo.stanza]
    if not stanzas:
        return
    played = median(tempo.quarter_bpm for tempo in stanzas)
    low, high = window.low_quarter_bpm, window.high_quarter_bpm
    if low <= played <= high:
        return
    beyond = low / played - 1 if played < low else played / high - 1
    table = load("take")
    slow = "slower" if played < low else "quicker"
    yield Finding(
        "tempo",
        1 + table.number("advice.tempo") * beyond / table.number("tempo.jnd"),
        f"The hymn went {slow} than planned: a quarter of {played:.0f} a minute; between "
        f"{low:.0f} and {high:.0f} it can be sung.",
    )


def _measure(plan: LeadingPlan, ends: Sequence[LineEnd], line: int) -> str:
    onset_q = next(end.onset_q for end in ends if end.phrase == line)
    return measure_name(measure_at(plan.hymn, onset_q).number)


def _in_stanzas(numbers: Iterable[int]) -> str:
    """ "stanza 2", "stanzas 1 and 3", "the introduction and stanza 1"."""
    ordered = sorted(set(numbers))
    sung_ones = [str(number) for number in ordered if number]
    said = ["the introduction"] if 0 in ordered else []
    if sung_ones:
        *many, last = sung_ones
        listed = f"{', '.join(many)} and {last}" if many else last
        said.append(f"stanza{'s' if many else ''} {listed}")
    return " and ".join(said)


def _notes(measures: Measures) -> Iterator[Finding]:
    wrong = [fault for fault in measures.faults if fault.kind != "extra"]
    if not wrong:
        return
    places = Counter((fault.measure, fault.voice) for fault in wrong)
    (measure, voice), times = places.most_common(1)[0]
    where = _in_stanzas(f.stanza for f in wrong if (f.measure, f.voice) == (measure, voice))
    table = load("take")
    said = "one note" if times == 1 else f"{times} notes"
    yield Finding(
        "notes",
        table.number("advice.notes") * (times + 1),
        f"Practise {measure_name(measure)} in the {voice}: {said} went wrong or "
        f"{'was' if times == 1 else 'were'} not played, in {where}.",
    )


def _from_to(values: Sequence[float]) -> str:
    low, high = round(min(values)), round(max(values))
    return f"{low}" if low == high else f"{low} to {high}"


def _spread(values: Sequence[float]) -> float:
    return max(values) - min(values)
