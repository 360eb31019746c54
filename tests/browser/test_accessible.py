"""Every page for everybody: WCAG 2.2 AA as axe-core checks it, 360 px to 4K, keyboard alone."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from suspirium.desk.hymnal import the_library
from suspirium.desk.orders import add_to_order, begin_order
from suspirium.desk.own_desk import take_in_parish_organs
from suspirium.desk.planning import Settings, plan_file
from suspirium.desk.takes import hear
from tests.browser.conftest import Desk
from tests.conftest import PARISH
from tests.playing import Playing, as_midi, play

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is missing")

PAGES = (
    "/", "/?text=zebra", "/hymns/1", "/hymns/1/hands", "/hymns/1/bench", "/hymns/1/takes",
    "/takes", "/takes/1", "/week", "/week/new", "/tablet", "/pair",
    "/service", "/service/sunday", "/service/sunday/bench", "/organ", "/organ?organ=netherwick",
    "/hymns/1/about", "/hymns/1?key=-2", "/library", "/hymns/99",
)  # fmt: skip
OPEN = "for (const one of document.querySelectorAll('details')) one.open = true"
STANDARD = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def _filled(tmp_path: Path) -> None:
    """A take and a service, so that their pages have something to show."""
    take_in_parish_organs()
    begin_order({"name": "Sunday", "organ": "netherwick"}, "parish", None)
    for number in ("1", "4"):
        add_to_order("sunday", {"hymn": number})
    plan = plan_file(PARISH / "netherwick.abc")
    path = tmp_path / "take.mid"
    path.write_bytes(as_midi(play(plan, Playing(seed=1)).notes))
    with the_library() as library:
        hear(library, 2, path, Settings(), datetime(2026, 11, 23, 9, 0))


@pytest.mark.parametrize(("width", "theme"), [(360, "paper"), (1280, "dark")])
def test_no_page_has_a_violation(
    parish: Desk, page: Any, tmp_path: Path, width: int, theme: str
) -> None:
    """axe-core's rules for WCAG 2.2 A and AA, and its best practices."""
    _filled(tmp_path)
    page.add_init_script(f"localStorage.setItem('theme', '{theme}')")
    page.set_viewport_size({"width": width, "height": 900})
    found = []
    for path in PAGES:
        page.goto(parish.url + path)
        page.wait_for_timeout(150)
        page.evaluate(OPEN)
        result = axe.Axe().run(page, options={"runOnly": STANDARD})
        for one in result.response["violations"]:
            found += [(path, one["id"], node["html"][:120]) for node in one["nodes"]]
    assert found == []


@pytest.mark.parametrize("width", [360, 768, 3840])
def test_nothing_is_wider_than_the_screen(
    parish: Desk, page: Any, tmp_path: Path, width: int
) -> None:
    _filled(tmp_path)
    page.set_viewport_size({"width": width, "height": 900})
    for path in PAGES:
        page.goto(parish.url + path)
        page.wait_for_timeout(100)
        page.evaluate(OPEN)
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{path} is {wide} wide on a screen of {width}"
