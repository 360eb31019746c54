"""Fingers and feet on the page: all that is wanted is there, nothing collides."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import pairwise
from math import atan, degrees

import pypdfium2
import pytest
from fontTools.ttLib import TTFont
from hypothesis import HealthCheck, given, settings

from suspirium.plan.build import plan_hymn
from suspirium.plan.model import LeadingPlan
from suspirium.render.caution import caution_mm
from suspirium.render.engrave.collisions import collisions
from suspirium.render.engrave.face import font_folder
from suspirium.render.engrave.figures import Figures, Sign
from suspirium.render.engrave.sheet import Engraver, Sheet
from suspirium.render.fingering import NO_FINGERING, fingering
from suspirium.render.layout import AREA
from suspirium.render.page import arrange, marked_score, scales
from suspirium.render.parts import Part, part_pages, part_sheets, parts_of
from suspirium.score.model import Hymn
from suspirium.score.reading import read
from suspirium.tables import load
from suspirium.technique import A_START, CARE, Player, Technique, find_technique
from suspirium.technique.player import FixedFingers
from suspirium.technique.show import SHOWS, place, shown
from tests.conftest import HYMNS, PARISH
from tests.oddities import ODDITIES
from tests.strategies import hymns

SCORES = [*sorted(PARISH.glob("*.abc")), *sorted(HYMNS.glob("*.abc"))[1::9]]
bounded = settings(deadline=None, max_examples=12, suppress_health_check=list(HealthCheck))


@cache  # both are frozen: every test may look at the same ones
def planned(path) -> tuple[LeadingPlan, Technique]:
    plan = plan_hymn(read(path.read_bytes(), path.name))
    return plan, find_technique(plan)


def engraved(plan: LeadingPlan, figures: Figures) -> Sheet:
    engraver = Engraver(plan, figures)
    best = min(engraver.breakings(188.0), key=lambda breaking: breaking.cost)
    return engraver.sheet(best.starts_q, 188.0)


def collided(sheet: Sheet) -> list[str]:
    return [
        f"{a.kind} {a.owner!r} on {b.kind} {b.owner!r}"
        for system in sheet.systems
        for a, b in collisions(system.boxes)
    ]


def drawn(sheet: Sheet) -> Counter[str]:
    """Figures by their text and feet by their kind."""
    return Counter(
        box.owner or box.kind
        for system in sheet.systems
        for box in system.boxes
        if box.kind == "foot" or (box.kind == "finger" and box.owner)
    )


def wanted(figures: Figures) -> Counter[str]:
    signs = list(figures.signs())
    letters = Counter(sign.letter for sign in signs if sign.letter)
    return Counter(sign.text or "foot" for sign in signs) + letters


def check(plan: LeadingPlan, technique: Technique) -> None:
    for show in ("helpful", "all"):
        figures = fingering(plan, technique, show).figures
        sheet = engraved(plan, figures)
        assert collided(sheet) == []
        assert drawn(sheet) == wanted(figures)


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_every_sign_is_drawn_and_collides_with_nothing(path) -> None:
    check(*planned(path))


@pytest.mark.parametrize("name", ODDITIES)
def test_oddities(name) -> None:
    plan = plan_hymn(read(ODDITIES[name].encode(), "odd.abc"))
    check(plan, find_technique(plan))


@bounded
@given(hymns())
def test_random_hymns(hymn: Hymn) -> None:
    plan = plan_hymn(hymn)
    check(plan, find_technique(plan))


def test_the_staves_are_as_without_figures_but_for_the_room_between_them() -> None:
    plan, technique = planned(PARISH / "fallowmere.abc")
    plain = engraved(plan, Figures())
    marked = engraved(plan, fingering(plan, technique, "all").figures)

    def music(sheet: Sheet) -> Counter[str]:
        kinds = ("notehead", "stem", "clef", "accid", "barLine", "slur", "tie")
        return Counter(b.kind for s in sheet.systems for b in s.boxes if b.kind in kinds)

    assert music(plain) == music(marked)


def test_helpful_is_a_part_of_all_and_none_is_none() -> None:
    plan, technique = planned(PARISH / "osmerley.abc")
    none, helpful, every = (
        {place(note) for note in shown(technique.notes, show, [Fraction(0)])} for show in SHOWS
    )
    assert not none
    assert helpful < every
    assert len(every) == len({place(note) for note in technique.notes})
    assert fingering(plan, technique, "none") == NO_FINGERING


def test_what_is_substituted_or_changes_hands_is_always_shown() -> None:
    for path in SCORES[:6]:
        _, technique = planned(path)
        helpful = {place(note) for note in shown(technique.notes, "helpful")}
        once = {place(note): note for note in reversed(technique.notes)}.values()
        due = [note for note in once if note.changes_q or note.taken_over or note.crosses]
        assert {place(note) for note in due} <= helpful


def test_the_players_own_fingers_are_shown_and_stand_out() -> None:
    plan, technique = planned(PARISH / "fallowmere.abc")
    third = [note for note in technique.notes if note.voice == "soprano"][2]
    own = FixedFingers("soprano", third.written_q, (3,))
    again = find_technique(plan, Player(fingers=(own,)))
    figures = fingering(plan, again, "helpful").figures
    signs = figures.stacks["top", third.written_q]
    assert Sign("3", fixed=True) in signs
    assert "Bold" in fingering(plan, again, "helpful").legend


def texts(pdf: bytes) -> list[str]:
    """What is written on each page, as one line."""
    pages = pypdfium2.PdfDocument(pdf)
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pages]


@pytest.mark.parametrize("path", [PARISH / "fallowmere.abc", *SCORES[-2:]], ids=lambda p: p.stem)
def test_every_page_with_marks_says_that_they_are_a_start_and_how_to_take_care(path) -> None:
    """Also the second page, and every part sheet: a sheet is taken out of its folder."""
    plan, technique = planned(path)
    for show in ("helpful", "all"):
        marked = fingering(plan, technique, show)
        assert marked.legend
        for text in texts(marked_score(plan, marked).pdf):
            assert marked.legend in text
            assert A_START in text
            assert CARE in text
    for text in texts(part_sheets(plan, technique)):
        assert A_START in text
        assert CARE in text
    assert not any(CARE in text for text in texts(marked_score(plan).pdf))


def test_the_caution_is_below_all_else_and_on_the_paper() -> None:
    plan, technique = planned(PARISH / "fallowmere.abc")
    fingered = arrange(plan, fingering(plan, technique, "all"))
    for pages, height_mm in (
        (fingered.items(), AREA.single_mm if len(fingered.items()) == 1 else AREA.several_mm),
        (part_pages(plan, technique), AREA.several_mm),
    ):
        for page in pages:
            (caution,) = [item for item in page if item["kind"] == "caution"]
            assert caution["y"] == max(item["y"] for item in page)
            assert caution["y"] + caution_mm(caution["legend"]) <= height_mm + 1e-9


def test_the_melody_of_a_part_sheet_has_the_words_of_one_stanza() -> None:
    plan, technique = planned(PARISH / "fallowmere.abc")
    for players in parts_of(technique):
        words = Part(plan, technique, players).hymn.stanzas
        assert [stanza.number for stanza in words] == ([1] if "right" in players else [])


def test_a_solo_leaves_the_alto_to_the_left_hand_without_saying_it_each_time() -> None:
    plan, technique = planned(PARISH / "fallowmere.abc")
    solo = find_technique(plan, arrangement="solo")
    assert any(s.corner for s in fingering(plan, technique, "all").figures.signs())
    assert not any(s.corner for s in fingering(plan, solo, "all").figures.signs())
    check(plan, solo)
    check(plan, find_technique(plan, arrangement="manuals"))


def test_figures_stay_legible() -> None:
    """Height of the digits from the face's own outlines (OpenType glyf), the limit from
    tables/page.toml."""
    face = TTFont(font_folder() / "SourceSerifPro-Regular.ttf")
    names = face.getBestCmap()
    least = min(face["glyf"][names[ord(d)]].yMax for d in "12345") / face["head"].unitsPerEm
    table = load("page")
    height_mm = least * table["figures.size"] * min(scales())
    arcmin = 60 * degrees(atan(height_mm / table["reading_distance"]))
    assert arcmin >= table["words.least_x_arcmin"]


# Parts -------------------------------------------------------------------------------


def struck(hymn: Hymn) -> Counter[tuple[Fraction, int]]:
    return Counter(
        (note.onset_q, pitch.midi)
        for voice in hymn.voices
        for note in voice.notes
        for pitch in note.pitches
    )


@pytest.mark.parametrize("path", SCORES[:8], ids=lambda path: path.stem)
def test_hands_and_pedal_alone_are_the_whole_hymn(path) -> None:
    plan, technique = planned(path)
    assert parts_of(technique)[:3] == [("right",), ("left",), ("pedal",)]
    alone = sum(
        (struck(Part(plan, technique, part).hymn) for part in parts_of(technique)[:3]), Counter()
    )
    assert alone == struck(plan.hymn)


@pytest.mark.parametrize("path", SCORES[:8], ids=lambda path: path.stem)
def test_part_sheets_are_complete_and_nothing_collides(path) -> None:
    plan, technique = planned(path)
    for players in parts_of(technique):
        part = Part(plan, technique, players)
        sheet = part.sheet()
        heads = [b for s in sheet.systems for b in s.boxes if b.kind == "notehead"]
        assert len(heads) >= sum(struck(part.hymn).values())
        assert collided(sheet) == []
        for system in sheet.systems:
            assert any(box.kind == "rail" for box in system.boxes)


def test_voices_of_a_part_leave_no_time_out() -> None:
    for path in SCORES[:6]:
        plan, technique = planned(path)
        for players in parts_of(technique):
            for voice in Part(plan, technique, players).hymn.voices:
                for before, after in pairwise(voice.notes):
                    assert before.end_q <= after.onset_q


def test_parts_are_set_for_every_arrangement() -> None:
    plan, technique = planned(PARISH / "fallowmere.abc")
    manuals = find_technique(plan, arrangement="manuals")
    assert parts_of(manuals) == [("right",), ("left",)]
    assert part_sheets(plan, manuals).startswith(b"%PDF")
    assert part_sheets(plan, technique, "helpful").startswith(b"%PDF")
    silent = replace(technique, notes=tuple(n for n in technique.notes if n.plays == "right"))
    assert parts_of(silent) == []
