"""The plan as plain text: one screen to read before playing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from textwrap import wrap

from suspirium.plan.gap import counts
from suspirium.plan.model import LeadingPlan, TouchKind
from suspirium.plan.performance import perform
from suspirium.plan.pulse import counted_beat_q, note_name
from suspirium.plan.verse_facts import plan_wrong_stresses
from suspirium.render.textlines import WIDTH, item
from suspirium.render.words import key_name, line_heads, tempo_words, verse_words
from suspirium.verse.accents import WrongStress

_TOUCH_NAMES: dict[TouchKind, tuple[str, str]] = {
    "pickup": ("pickup detached", "pickups detached"),
    "repeat": ("melody note re-struck", "melody notes re-struck"),
    "bass_repeat": ("bass note re-struck", "bass notes re-struck"),
    "tie": ("common tone held on", "common tones held on"),
}


def plan_text(plan: LeadingPlan) -> str:
    """The plan in words, lines no longer than 78 characters."""
    return "\n".join(_lines(plan)) + "\n"


def _lines(plan: LeadingPlan) -> Iterator[str]:
    hymn, tempo, pulse = plan.hymn, plan.tempo.value, plan.pulse.value
    title = hymn.title + (f" ({hymn.tune})" if hymn.tune else "")
    yield from wrap(title, WIDTH)
    yield from wrap(", ".join(part for part in (verse_words(plan), key_name(plan)) if part), WIDTH)
    yield ""
    bpm = tempo.quarter_bpm / float(pulse.unit_q)
    yield from item(
        "Pulse",
        f"{tempo_words(plan)}: the {note_name(pulse.unit_q)} = {bpm:.0f}. {plan.pulse.reason}",
    )
    yield from item(
        "Tempo",
        f"quarter = {tempo.quarter_bpm:.0f} (from {tempo.low_quarter_bpm:.0f} to "
        f"{tempo.high_quarter_bpm:.0f}). {plan.tempo.reason}",
    )
    for head, text in line_heads(plan):
        yield from item(head.rstrip("."), text)
    yield from item("Gap", plan.gap.reason)
    yield from item("Ending", plan.ending.reason)
    kinds = Counter(touch.kind for touch in plan.touches)
    said = [
        f"{number} {one if number == 1 else many}"
        for kind, (one, many) in _TOUCH_NAMES.items()
        if (number := kinds.get(kind, 0))
    ]
    yield from item("Touch", "; ".join(said) + "." if said else "nothing to detach.")
    if astray := plan_wrong_stresses(plan):
        told = ", ".join(f"{wrong.word} ({_place(plan, wrong)})" for wrong in astray)
        yield from item("Words", f"the tune stresses another syllable of: {told}.")
    performance = perform(plan)
    beat_q = counted_beat_q(hymn)
    last = counts(plan.ending.value.hold_q, beat_q)
    stanzas = "1 stanza" if len(plan.stanza_numbers) == 1 else f"{len(plan.stanza_numbers)} stanzas"
    yield from item(
        "Lasts",
        f"{_clock(performance.duration_s)} for {stanzas}; the beat counted is the "
        f"{note_name(beat_q)}; the very last chord has {last}.",
    )
    for remark in plan.remarks:
        yield from item("Note", f"{str(remark).rstrip('.')}.")


def _place(plan: LeadingPlan, wrong: WrongStress) -> str:
    stanza = plan.hymn.stanzas[wrong.stanza].number
    return f"stanza {stanza}, line {plan.phrases[wrong.line].number}"


def _clock(duration_s: float) -> str:
    minutes, seconds = divmod(round(duration_s), 60)
    return f"{minutes} min {seconds} s" if minutes else f"{seconds} s"
