from __future__ import annotations

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.render.engrave.collisions import collisions
from suspirium.render.engrave.face import text_width
from suspirium.render.engrave.lyrics import spread
from suspirium.render.engrave.shapes import UNITS_PER_MM, Box
from suspirium.render.engrave.sheet import engrave
from suspirium.render.engrave.values import figures
from suspirium.render.page import arrange
from suspirium.render.typography import curly
from suspirium.score.reading import read
from tests.conftest import HYMNS, PARISH

SCORES = [*sorted(PARISH.glob("*.abc")), *sorted(HYMNS.glob("*.abc"))]


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_nothing_collides(path) -> None:
    sheet = arrange(plan_hymn(read(path.read_bytes(), path.name))).sheet
    assert sheet.systems
    for number, system in enumerate(sheet.systems, 1):
        found = [f"{a.kind} {a.owner!r} on {b.kind}" for a, b in collisions(system.boxes)]
        assert not found, f"system {number}: {found[:3]}"
        right = max(box.x1 for box in system.boxes)
        assert right <= (system.width_mm - 1.0) * UNITS_PER_MM, f"system {number} is cut"
        assert min(box.x0 for box in system.boxes) >= -UNITS_PER_MM


def test_the_checker_sees_a_collision() -> None:
    word = Box(0, 0, 1000, 400, "words", "grace")
    assert list(collisions([word, Box(900, 100, 1200, 300, "notehead")]))
    assert list(collisions([word, Box(900, 100, 1200, 300, "words")]))
    assert not list(collisions([word, Box(1001, 100, 1200, 300, "notehead")]))


def test_every_word_and_stanza_is_set() -> None:
    path = PARISH / "fallowmere.abc"
    plan = plan_hymn(read(path.read_bytes(), path.name))
    sheet = engrave(plan)
    for stanza in plan.hymn.stanzas:
        for syllable in stanza.syllables:
            drawn = [b for s in sheet.systems for b in s.boxes if b.owner == curly(syllable.text)]
            assert drawn, syllable.text


def test_words_keep_their_place_unless_they_meet() -> None:
    assert spread([0, 50, 100], [10, 10, 10], [2, 2, 2], -100, 500) == [0, 50, 100]
    pushed = spread([0, 5], [20, 20], [3, 3], -100, 500)
    assert pushed[1] - pushed[0] == pytest.approx(23)
    assert sum(pushed) / 2 == pytest.approx((0 + 5) / 2)  # both give way alike


@pytest.mark.parametrize(
    ("length", "expected"),
    [
        (1, [("4", 0)]),
        (3, [("2", 1)]),
        (5, [("1", 0), ("4", 0)]),
        (3.5, [("2", 2)]),
        (8, [("breve", 0)]),
    ],
)
def test_lengths_as_figures(length, expected) -> None:
    from fractions import Fraction

    assert [(value, dots) for value, dots, _ in figures(Fraction(length))] == expected


def test_widths_come_from_the_face() -> None:
    assert text_width("mm", 10) > text_width("ii", 10) > 0
