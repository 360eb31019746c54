from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from suspirium.desk.planning import plan_file
from suspirium.plan.build import plan_hymn
from suspirium.render.engrave.collisions import collisions
from suspirium.render.engrave.face import text_width
from suspirium.render.engrave.lyrics import spread
from suspirium.render.engrave.shapes import UNITS_PER_MM, Box
from suspirium.render.engrave.sheet import engrave
from suspirium.render.engrave.values import figures
from suspirium.render.page import arrange
from suspirium.render.screen import screen_sheet
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


def test_two_pages_may_be_engraved_at_once() -> None:
    """A desk in a browser engraves in several threads, one page at several widths."""
    plans = [plan_file(PARISH / f"{name}.abc") for name in ("fallowmere", "osmerley")]
    wanted = [(plan, width_mm) for plan in plans for width_mm in (188.0, 130.0, 85.0)]
    alone = [screen_sheet(plan, width_mm=width_mm) for plan, width_mm in wanted]
    interval_s = sys.getswitchinterval()
    sys.setswitchinterval(1e-5)  # so that threads meet
    try:
        with ThreadPoolExecutor(len(wanted)) as pool:
            together = list(pool.map(lambda one: screen_sheet(one[0], width_mm=one[1]), wanted))
    finally:
        sys.setswitchinterval(interval_s)
    starts = [[system.start_q for system in sheet.systems] for sheet in together]
    assert starts == [[system.start_q for system in sheet.systems] for sheet in alone]
