"""What holds of every engraved page, whatever the hymn: all is there, nothing collides."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings

from suspirium.plan.build import plan_hymn
from suspirium.plan.model import LeadingPlan
from suspirium.render.engrave.collisions import collisions
from suspirium.render.engrave.gapfigure import draw_gap
from suspirium.render.engrave.shapes import UNITS_PER_MM, Box
from suspirium.render.engrave.sheet import Sheet, engrave
from suspirium.render.engrave.values import figures
from suspirium.render.page import marked_score
from suspirium.render.texts import GAP_WIDTH_MM
from suspirium.render.typography import curly
from suspirium.score.model import Hymn, Note
from suspirium.score.reading import read
from tests.conftest import HYMNS, PARISH
from tests.oddities import ODDITIES
from tests.strategies import hymns

SCORES = [*sorted(PARISH.glob("*.abc")), *sorted(HYMNS.glob("*.abc"))[3::17]]
bounded = settings(deadline=None, max_examples=15, suppress_health_check=list(HealthCheck))


def heads_drawn(sheet: Sheet) -> int:
    """Noteheads on the page; a unison of two voices is drawn as two, one on the other."""
    return sum(
        box.kind == "notehead" and box.owner.startswith("n")
        for system in sheet.systems
        for box in system.boxes
    )


def heads_written(hymn: Hymn) -> int:
    """Noteheads of the score: one a pitch and figure, lengths that need ties have several."""
    return sum(
        len(note.pitches) * len(figures(_printed_q(note)))
        for voice in hymn.voices
        for note in voice.notes
    )


def _printed_q(note: Note):
    actual, normal = note.tuplet or (1, 1)
    return note.duration_q * actual / normal


def words_drawn(sheet: Sheet) -> Counter[str]:
    return Counter(
        box.owner for system in sheet.systems for box in system.boxes if box.kind == "words"
    )


def words_written(hymn: Hymn, sheet: Sheet) -> Counter[str]:
    return Counter(
        curly(syllable.text)
        for stanza in hymn.stanzas
        if stanza.number in sheet.stanzas
        for syllable in stanza.syllables
    )


def check_sheet(plan: LeadingPlan) -> Sheet:
    sheet = engrave(plan)
    assert heads_drawn(sheet) == heads_written(plan.hymn)
    assert words_drawn(sheet) == words_written(plan.hymn, sheet)
    for system in sheet.systems:
        found = [f"{a.kind} {a.owner!r} on {b.kind}" for a, b in collisions(system.boxes)]
        assert not found, found[:3]
        assert max(box.x1 for box in system.boxes) <= (system.width_mm - 1.0) * UNITS_PER_MM
        assert min(box.x0 for box in system.boxes) >= -UNITS_PER_MM
    check_gap(plan)
    return sheet


def check_gap(plan: LeadingPlan) -> None:
    """The gap's figures and labels stand apart and inside their width."""
    boxes = draw_gap(plan, GAP_WIDTH_MM).boxes
    texts = [box for box in boxes if box.owner]
    met = [(a.owner, b.owner) for a, b in combinations(texts, 2) if a.overlaps(b)]
    assert not met
    width = max(box.x1 for box in boxes) - min(box.x0 for box in boxes)
    assert width <= GAP_WIDTH_MM * UNITS_PER_MM


@bounded
@given(hymns())
def test_random_hymns(hymn) -> None:
    check_sheet(plan_hymn(hymn))


@pytest.mark.parametrize("name", ODDITIES)
def test_oddities(name) -> None:
    plan = plan_hymn(read(ODDITIES[name].encode(), "odd.abc"))
    check_sheet(plan)


@pytest.mark.parametrize("name", ["no words", "twelve stanzas", "markup in words"])
def test_pages_are_set(name) -> None:
    marked = marked_score(plan_hymn(read(ODDITIES[name].encode(), "odd.abc")))
    assert marked.pdf.startswith(b"%PDF")
    assert marked.svg_pages


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_real_hymns_keep_every_note_and_syllable(path) -> None:
    check_sheet(plan_hymn(read(path.read_bytes(), path.name)))


def test_a_fermata_below_the_bass_is_not_cut() -> None:
    """The inverted fermata (SMuFL U+E4C1) is curved: its arc counts, not its dot alone."""
    music = "CDEF|!fermata!G4|]"
    score = "X:1\nT:Test\nM:4/4\nL:1/4\nK:C\n%%staves 1 2\nV:1\nV:2 clef=bass\n"
    score += f"[V:1] {music}\n[V:2] C,D,E,F,|!fermata!C,4|]\n"
    sheet = engrave(plan_hymn(read(score.encode(), "odd.abc")))
    arcs: list[Box] = [b for s in sheet.systems for b in s.boxes if b.kind == "fermata"]
    assert len(arcs) == 2
    above, below = (box.y1 - box.y0 for box in arcs)
    assert above == pytest.approx(below, rel=0.05)
