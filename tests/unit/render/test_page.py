"""The pages as arranged: filled, legible, everything on them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import atan, degrees

import pytest
from fontTools.ttLib import TTFont

from suspirium.plan.build import plan_hymn
from suspirium.plan.model import LeadingPlan
from suspirium.render.engrave.face import font_folder
from suspirium.render.engrave.lyrics import WORD_SIZE
from suspirium.render.engrave.shapes import UNITS_PER_MM
from suspirium.render.engrave.sheet import underlaid, walls
from suspirium.render.layout import place
from suspirium.render.page import AREA, Arranged, arrange, least_scale, scales
from suspirium.score.reading import read
from suspirium.tables import load
from tests.conftest import HYMNS, PARISH
from tests.oddities import ODDITIES

SCORES = [*sorted(PARISH.glob("*.abc")), *sorted(HYMNS.glob("*.abc"))[2::13]]


def planned(path) -> LeadingPlan:
    return plan_hymn(read(path.read_bytes(), path.name))


def odd(name: str) -> LeadingPlan:
    return plan_hymn(read(ODDITIES[name].encode(), "odd.abc"))


def texts_drawn(arranged: Arranged, kind: str) -> set[str]:
    return {b.owner for s in arranged.sheet.systems for b in s.boxes if b.kind == kind}


def test_words_stay_legible_at_the_least_size() -> None:
    """x-height from the face itself (OpenType OS/2), the limit from tables/page.toml."""
    face = TTFont(font_folder() / "SourceSerifPro-Regular.ttf")
    x_em = face["OS/2"].sxHeight / face["head"].unitsPerEm
    table = load("page")
    assert table["words.x_height"] == pytest.approx(x_em)
    assert table["words.size"] == pytest.approx(WORD_SIZE / UNITS_PER_MM)
    x_mm = x_em * table["words.size"] * min(scales())
    arcmin = 60 * degrees(atan(x_mm / table["reading_distance"]))
    assert arcmin >= table["words.least_x_arcmin"]
    assert min(scales()) >= least_scale()


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_pages_are_filled_and_staves_of_a_customary_size(path) -> None:
    arranged = arrange(planned(path))
    pages = arranged.pages.pages
    assert len(pages) <= 4
    filled = [sum(block.height_mm for block in page) / AREA.several_mm for page in pages]
    assert min(filled) > (0.5 if len(pages) < 3 else 0.25)
    limit = AREA.single_mm if len(pages) == 1 else AREA.several_mm
    for page in pages:
        last = place(page, limit)[-1]
        assert last.y_mm + last.block.height_mm <= limit + 1e-6


def test_twelve_stanzas_are_all_somewhere() -> None:
    arranged = arrange(odd("twelve stanzas"))
    assert arranged.sheet.stanzas == (1, 2, 3, 4, 5, 6)
    items = [item for page in arranged.items() for item in page if item["kind"] == "stanza"]
    assert [item["number"] for item in items] == ["7", "8", "9", "10", "11", "12"]


def test_stanzas_of_two_halves_are_all_under_their_notes() -> None:
    lines = "".join(f"w: {'a ' * 4}\n" for _ in range(4))
    score = f"X:1\nT:Test\nM:4/4\nL:1/4\nK:C\nCDEF|\n{lines}GFED|]\n{lines}"
    hymn = plan_hymn(read(score.encode(), "odd.abc")).hymn
    assert len(underlaid(hymn, 4)) == 4
    assert underlaid(hymn, 2) == (1, 2)


def test_figures_on_the_rails_know_every_stanza() -> None:
    """Nine stanzas, one of them without a stop at the first line's end."""
    first = "".join(f"w: a b c d e{',' if n == 8 else '.'}\n" for n in range(9))
    second = "w: f g h i j.\n" * 9
    score = f"X:1\nT:Test\nM:4/4\nL:1/4\nK:C\nCDEF|G4|\n{first}GFED|C4|]\n{second}"
    plan = plan_hymn(read(score.encode(), "odd.abc"))
    assert texts_drawn(arrange(plan), "figures") == {"1–8", "9"}


def test_the_lift_before_a_repeat_is_drawn() -> None:
    plan = plan_hymn(read(ODDITIES["all repeated"].replace("\nw:", "\n%").encode(), "odd.abc"))
    assert plan.before_repeat is not None
    assert texts_drawn(arrange(plan), "figures") == {"repeat", "end"}


@pytest.mark.parametrize("path", sorted(PARISH.glob("*.abc")), ids=lambda path: path.stem)
def test_three_stanzas_of_four_lines_take_one_page(path) -> None:
    arranged = arrange(planned(path))
    assert len(arranged.pages.pages) == 1
    assert len(arranged.sheet.systems) == 4


def test_halves_of_a_tune_share_no_system() -> None:
    """Both stanzas sing all; then one sings the first half alone, the other the second."""
    words = f"w: {'a ' * 10}\n" * 2
    score = f"X:1\nT:Test\nM:4/4\nL:1/4\nK:C\nCDEF|G4|GFED|C4|]\n{words}"
    hymn = plan_hymn(read(score.encode(), "odd.abc")).hymn
    first, second = hymn.stanzas
    lines = [Fraction(0), Fraction(8)]
    halves = (
        replace(first, syllables=tuple(s for s in first.syllables if s.onset_q < 8)),
        replace(second, syllables=tuple(s for s in second.syllables if s.onset_q >= 8)),
    )
    assert walls(replace(hymn, stanzas=halves), lines) == {Fraction(8)}
    assert not walls(hymn, lines)


def test_stanza_figures_on_the_rails_stay_legible() -> None:
    """Height of the figures from the face's own outlines (OpenType glyf)."""
    face = TTFont(font_folder() / "SourceSerifPro-Bold.ttf")
    glyph = face["glyf"][face.getBestCmap()[ord("2")]]
    height_em = (glyph.yMax - glyph.yMin) / face["head"].unitsPerEm
    plan = planned(PARISH / "netherwick.abc")
    figures = [b for s in arrange(plan).sheet.systems for b in s.boxes if b.kind == "figures"]
    size_mm = (figures[0].y1 - figures[0].y0) / 0.73 / UNITS_PER_MM  # 0.7 up, 0.03 down
    arcmin = 60 * degrees(atan(height_em * size_mm * min(scales()) / 700))
    assert arcmin >= load("page")["words.least_x_arcmin"]
