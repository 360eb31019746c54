"""The sheet for choir or cantor: what is sung, when to come in, where to breathe."""

from __future__ import annotations

from collections.abc import Iterator

from suspirium.plan.gap import counts
from suspirium.plan.pulse import counted_beat_q, note_name
from suspirium.render.bench import bench_of
from suspirium.render.service_words import stanza_words, when_words
from suspirium.render.typeset import set_document
from suspirium.render.typography import curly_prose
from suspirium.render.words_sheet import sheet_values
from suspirium.service.served import Served
from suspirium.service.whole import Service


def choir_pdf(service: Service) -> bytes:
    """The sheet as PDF, each hymn on its own page."""
    head = ", ".join(part for part in (service.order.name, when_words(service.order)) if part)
    hymns = [
        sheet_values(hymn.plan, hymn.stanzas, list(choir_notes(number, hymn)))
        for number, hymn in enumerate(service.served, 1)
    ]
    return set_document("words.typ", {"title": curly_prose(head), "hymns": hymns})[0]


def choir_notes(number: int, hymn: Served) -> Iterator[str]:
    """What singers need beside the words: key, first note, introduction, gap, ending."""
    plan = hymn.plan
    bench = bench_of(hymn, None)
    first = next(note for note in plan.hymn.melody.notes if not note.is_rest)
    pitch = first.pitches[-1]
    sign = "♭" * -pitch.alter + "♯" * pitch.alter
    beat_q = counted_beat_q(plan.hymn)
    yield (
        f"Hymn {number}: {stanza_words(hymn)}; {bench.key}, the melody begins on "
        f"{pitch.step}{sign}; {bench.pulse_note} = {bench.pulse_bpm}."
    )
    before = (
        "No introduction"
        if hymn.introduction is None
        else f"Introduction: {bench.introduction}, {bench.joint}"
    )
    gap = plan.gap.value
    yield (
        f"{before}. Between stanzas the last note has {counts(gap.hold_q, beat_q)} counts of a "
        f"{note_name(beat_q)}, then {counts(gap.silence_q, beat_q)} silent ({gap.silence_s:.1f} s)."
    )
    amen = f" Amen: {bench.amen}." if bench.amen else ""
    yield f"At the end: {bench.ending}.{amen}"
