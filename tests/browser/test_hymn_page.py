"""The hymn's page in a browser: what follows from a change, sound, two windows."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from suspirium.desk.finding import found_in
from suspirium.desk.hymnal import the_library
from suspirium.web.pages import HERE
from tests.browser.conftest import Desk


def _kept(number: int = 4) -> str:
    with the_library() as library:
        return found_in(library, number).overrides or ""


def test_a_change_shows_what_follows_at_once_and_is_kept_when_told(parish: Desk, page: Any) -> None:
    page.goto(f"{parish.url}/hymns/1")
    before = page.inner_text("#trial")
    page.fill("#tempo", "40")
    page.wait_for_selector("#trial .summary:has-text('= 40')")
    assert page.inner_text("#trial") != before
    assert _kept(1) == ""
    page.click("text=Keep these decisions")
    page.wait_for_selector("text=Kept. Your decisions stay")
    assert _kept(1) == "quarter_bpm = 80.0\n"
    page.reload()
    assert page.input_value("#tempo") == "40"


def test_a_line_is_carried_and_the_score_is_drawn_anew(parish: Desk, page: Any) -> None:
    page.goto(f"{parish.url}/hymns/1")
    page.select_option("#breath-2-1", "carry")
    page.wait_for_selector(".end:has-text('Line 2') dd:has-text('carry')")


def test_arrows_step_from_what_the_plan_says(parish: Desk, page: Any) -> None:
    page.goto(f"{parish.url}/hymns/1")
    planned = int(page.get_attribute("#tempo", "data-planned"))
    page.focus("#tempo")
    page.keyboard.press("ArrowUp")
    assert page.input_value("#tempo") == str(planned + 1)


def test_what_can_not_be_is_said_beside_the_field(parish: Desk, page: Any) -> None:
    page.goto(f"{parish.url}/hymns/1")
    with page.expect_response("**/consequences?key=0") as answer:
        page.fill("#tempo", "399")
    assert answer.value.status in (200, 422)
    page.wait_for_selector("#trial .problem")


def test_two_windows_do_not_overwrite_one_another(parish: Desk, context: Any) -> None:
    first, second = context.new_page(), context.new_page()
    for window in (first, second):
        window.goto(f"{parish.url}/hymns/1")
    first.fill("#tempo", "40")
    first.click("text=Keep these decisions")
    first.wait_for_selector("text=Kept. Your decisions stay")
    second.fill("#gap_hold", "6")
    second.click("text=Keep these decisions")
    second.wait_for_selector("h1:has-text('Two windows')")
    assert "hold_q = 6" in second.inner_text("main")
    assert "quarter_bpm = 80.0" in second.inner_text("main")
    assert _kept(1) == "quarter_bpm = 80.0\n"
    second.click("text=Leave it as it was kept")
    assert second.input_value("#tempo") == "40"


def test_it_sounds_from_any_measure_with_its_notes_lit(parish: Desk, page: Any) -> None:
    page.goto(f"{parish.url}/hymns/1")
    page.select_option("#play-stanza", "2")
    page.select_option("#play-measure", "4")
    page.focus("[data-play]")
    page.keyboard.press("Enter")
    page.wait_for_selector(".lit")
    assert "stanza 2, measure 4" in page.inner_text("[data-place]")
    lit = page.eval_on_selector_all(".lit", "all => all.map(one => one.id)")
    assert {one.split("-")[0] for one in lit} <= {"n0", "n1", "n2", "n3"}
    first = set(lit)
    page.wait_for_function(
        "ids => [...document.querySelectorAll('.lit')].some(one => !ids.includes(one.id))",
        arg=list(first),
    )
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-play]:text-is('Hear')")


def test_a_note_that_is_clicked_begins_its_measure(parish: Desk, page: Any) -> None:
    page.goto(f"{parish.url}/hymns/1")
    page.locator("#score g[id^=n0-] .notehead").nth(9).click(force=True)
    page.wait_for_selector(".lit")
    assert page.input_value("#play-measure") not in ("", "0")


def test_the_first_paint_comes_within_a_second_and_the_scripts_are_small(
    parish: Desk, page: Any
) -> None:
    """One second and little JavaScript are the project's own aims."""
    page.goto(f"{parish.url}/hymns/1")
    page.goto(f"{parish.url}/hymns/1")
    paint = page.evaluate(
        """() => new Promise((told) => new PerformanceObserver((list) =>
            list.getEntriesByName("first-contentful-paint").forEach((one) => told(one.startTime))
        ).observe({ type: "paint", buffered: true }))"""
    )
    assert paint < 1000
    assert sum(path.stat().st_size for path in Path(HERE / "static").glob("*.js")) < 32_000
