"""The page of a task: the passage in its part, with fingers, feet, lifts and what to mind."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from suspirium.plan.model import LeadingPlan
from suspirium.practice.model import Part as Players
from suspirium.render.caution import above_caution, with_caution
from suspirium.render.engrave.figures import figures_of
from suspirium.render.engrave.sheet import OVERHANG_LEFT_MM, OVERHANG_RIGHT_MM, Engraver, Sheet
from suspirium.render.engrave.staffing import Staffing
from suspirium.render.fingering import signs
from suspirium.render.layout import AREA, WIDTH_MM, Area, Block, paginate, place
from suspirium.render.parts import Part
from suspirium.render.texts import heading
from suspirium.render.typeset import Item, measure_mm, set_pages
from suspirium.render.typography import curly_prose
from suspirium.score.model import Hymn, Measure, Note, Stanza, Voice
from suspirium.technique.model import Plays, Technique
from suspirium.technique.show import shown

_AREA = Area(AREA.several_mm, AREA.several_mm)
_ORDER: tuple[Plays, ...] = ("right", "left", "pedal")


def task_page(
    plan: LeadingPlan,
    technique: Technique,
    span_q: tuple[Fraction, Fraction],
    part: Players,
    what: str,
    mind: str,
) -> bytes:
    """One PDF: the music of `part` between the two places of the score, `what` it is as the
    heading's second line, and what to mind below."""
    cut = cut_plan(plan, *span_q)
    sheet, legend = _sheet(cut, technique, span_q, part)
    texts: list[Item] = [
        {**heading(plan), "tune": what},
        {"kind": "reason", "head": "Mind.", "text": mind},
    ]
    texts = [{**item, "width": WIDTH_MM, "x": 0.0, "y": 0.0} for item in texts]
    heights = measure_mm(texts)
    music = [Block("system", system.height_mm, n) for n, system in enumerate(sheet.systems)]
    blocks = [Block("heading", heights[0]), *music, Block("reasons", heights[1])]
    fingered = part != ("tune",)
    pages: list[list[Item]] = [
        [{**_item(sheet, texts, placed.block), "y": placed.y_mm} for placed in place(page, 0.0)]
        for page in paginate(blocks, above_caution(_AREA, legend) if fingered else _AREA).pages
    ]
    if fingered:
        pages = [with_caution(page, _AREA.several_mm, legend) for page in pages]
    return set_pages(curly_prose(plan.hymn.title or "Hymn"), pages, "pdf")[0]


def _item(sheet: Sheet, texts: list[Item], block: Block) -> Item:
    if block.kind == "system":
        system = sheet.systems[block.index]
        return {"kind": "system", "svg": system.svg, "width": system.width_mm, "x": 0.0}
    return texts[0] if block.kind == "heading" else texts[1]


def _sheet(
    cut: LeadingPlan, technique: Technique, span_q: tuple[Fraction, Fraction], part: Players
) -> tuple[Sheet, str]:
    """The music, and what its signs mean."""
    notes = tuple(note for note in technique.notes if span_q[0] <= note.written_q < span_q[1])
    players = [player for player in _ORDER if player in part]
    playing = [player for player in players if any(note.plays == player for note in notes)]
    if part == ("tune",):
        hymn = replace(cut.hymn, voices=cut.hymn.voices[:1])
        names = {hymn.melody.name, "all"}
        touches = tuple(touch for touch in cut.touches if touch.voice in names)
        staves = Staffing(((0,),), ("G",))
        return _engraved(Engraver(replace(cut, hymn=hymn, touches=touches), staves=staves)), ""
    if len(playing) == len(_ORDER):  # all together read the hymn as it is printed
        hymn = replace(cut.hymn, stanzas=())
        starts_q = sorted({phrase.first_onset_q for phrase in cut.phrases})
        figures = figures_of(shown(notes, "helpful", starts_q), hymn)
        return _engraved(Engraver(replace(cut, hymn=hymn), figures)), signs(figures)
    alone = Part(cut, replace(technique, notes=notes), playing)
    return alone.sheet(), signs(alone.figures)


def _engraved(engraver: Engraver) -> Sheet:
    width_mm = WIDTH_MM - OVERHANG_LEFT_MM - OVERHANG_RIGHT_MM
    best = min(engraver.breakings(width_mm), key=lambda breaking: breaking.cost)
    return engraver.sheet(best.starts_q, width_mm)


def cut_plan(plan: LeadingPlan, start_q: Fraction, end_q: Fraction) -> LeadingPlan:
    """The plan with only the music between two places of the score, at their places; its
    lines stay, since how one ends depends on whether another follows."""
    touches = tuple(touch for touch in plan.touches if start_q <= touch.onset_q < end_q)
    return replace(plan, hymn=_cut_hymn(plan.hymn, start_q, end_q), touches=touches)


def _cut_hymn(hymn: Hymn, start_q: Fraction, end_q: Fraction) -> Hymn:
    def inside(onset_q: Fraction) -> bool:
        return start_q <= onset_q < end_q

    return replace(
        hymn,
        voices=tuple(_cut_voice(voice, start_q, end_q) for voice in hymn.voices),
        measures=tuple(_measures(hymn, start_q, end_q)),
        stanzas=tuple(_cut_words(stanza, start_q, end_q) for stanza in hymn.stanzas),
        other_words=(),
        plain_stanzas=(),
        refrains=(),
        annotations=tuple(note for note in hymn.annotations if inside(note.onset_q)),
    )


def _measures(hymn: Hymn, start_q: Fraction, end_q: Fraction) -> Iterator[Measure]:
    """The bars inside, the outer ones cut to what is inside; nothing is repeated."""
    for measure in hymn.measures:
        first, last = max(measure.onset_q, start_q), min(measure.end_q, end_q)
        if first < last:
            whole = last == measure.end_q and not measure.repeat_end
            yield replace(
                measure,
                onset_q=first,
                duration_q=last - first,
                right=measure.right if whole else "single",
                repeat_start=False,
                repeat_end=False,
                endings=(),
            )


def _cut_voice(voice: Voice, start_q: Fraction, end_q: Fraction) -> Voice:
    return replace(voice, notes=tuple(_cut_notes(voice, start_q, end_q)))


def _cut_notes(voice: Voice, start_q: Fraction, end_q: Fraction) -> Iterator[Note]:
    """The notes that begin inside; what sounds into the passage is silent at its beginning."""
    for note in voice.notes:
        if note.end_q <= start_q or note.onset_q >= end_q:
            continue
        if note.onset_q < start_q:
            yield Note(start_q, min(note.end_q, end_q) - start_q, hidden=True)
            continue
        over = note.end_q > end_q
        duration_q = min(note.end_q, end_q) - note.onset_q
        yield replace(note, duration_q=duration_q, tied=note.tied and not over)


def _cut_words(stanza: Stanza, start_q: Fraction, end_q: Fraction) -> Stanza:
    inside = tuple(s for s in stanza.syllables if start_q <= s.onset_q < end_q)
    return replace(stanza, syllables=inside)
