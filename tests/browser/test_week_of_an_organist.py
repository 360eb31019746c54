"""The whole week of an organist in a browser, from an empty desk to the bench."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from suspirium.desk.planning import plan_file
from tests.browser.conftest import Desk
from tests.conftest import PARISH
from tests.playing import Playing, as_midi, play


def test_the_week_of_an_organist(serve: Callable[[], Desk], page: Any, tmp_path: Path) -> None:
    desk = serve()
    # An empty desk offers the demo parish; one's own score is dropped in instead.
    page.goto(desk.url)
    assert page.is_visible("text=Show me with the demo parish")
    page.set_input_files("#scores", [PARISH / "fallowmere.abc", PARISH / "osmerley.abc"])
    page.click("text=Put in")
    page.wait_for_selector("text=2 hymns")

    # The plan, read and decided otherwise.
    page.click("text=The lamps are lit")
    page.wait_for_selector("text=The custom of hymns")
    page.wait_for_load_state("load")  # what is typed before the page's script runs is not tried out
    page.fill("#tempo", "48")
    page.select_option("#breath-1-1", "carry")
    page.wait_for_selector("#trial .summary:has-text('= 48')")
    page.click("text=Keep these decisions")
    page.wait_for_selector("text=Kept.")
    assert page.locator("em:has-text('yours')").count() >= 1

    # Heard.
    page.click("[data-play]")
    page.wait_for_selector(".lit")
    page.click("[data-play]")

    # Fingered: one finger is corrected.
    page.click("text=Hands and feet")
    page.wait_for_load_state("networkidle")  # faces come in and lines move
    page.locator(".score g[id=n0-3] .notehead").first.click(force=True)
    assert page.input_value("#note") == "n0-3"
    page.fill("#fingers", "4 5")
    page.click("text=Set it")
    page.wait_for_selector("li:has-text('4–5')")

    # The week is laid out and a task is done.
    page.click("nav >> text=Week")
    page.locator("input[name=hymn]").nth(0).check()
    page.locator("input[name=hymn]").nth(1).check()
    page.locator("select[name^=known]").first.select_option("new")
    page.click("text=Lay out the week")
    page.wait_for_selector("h2:has-text('Today, Monday 23 November')")
    with page.expect_response("**/week/task-1.ogg*") as sound:
        page.locator("audio").first.evaluate("one => one.play()")
    assert sound.value.status in (200, 206)
    page.click("text=It went clean >> nth=0")
    page.wait_for_selector("h3:has-text('done')")

    # A take of the hymn.
    take = tmp_path / "take.mid"
    plan = plan_file(PARISH / "fallowmere.abc")
    take.write_bytes(as_midi(play(plan, Playing(seed=5, no_lift=frozenset({(0, 1)}))).notes))
    page.click("nav >> text=Takes")
    page.select_option("#hymn", label="The lamps are lit (Fallowmere)")
    page.click("main >> text=Begin >> nth=-1")
    page.set_input_files("#take", take)
    page.click("text=Listen to it")
    page.wait_for_selector("ol.advice")
    assert "Lift sooner at the end of line 2" in page.inner_text("ol.advice")

    # To the bench.
    page.click("nav >> text=Hymns")
    page.click("text=The lamps are lit")
    page.click("text=Bench view")
    page.wait_for_url("**/bench#*")  # the page has its script: keys turn it
    assert page.inner_text("header").replace("\n", " ").endswith("48")
    page.keyboard.press("PageDown")
    page.wait_for_selector("text=The field we left half ploughed shall wait,")


def test_the_keyboard_alone_suffices(serve: Callable[[], Desk], page: Any) -> None:
    desk = serve()
    page.goto(desk.url)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the content"
    page.keyboard.press("Enter")
    for _ in range(12):
        page.keyboard.press("Tab")
        if "demo parish" in page.evaluate("document.activeElement.textContent"):
            break
    page.keyboard.press("Enter")
    page.wait_for_selector("text=4 hymns")
    page.keyboard.press("Tab")
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent") == "The lamps are lit":
            break
    page.keyboard.press("Enter")
    page.wait_for_selector("h1:has-text('The lamps are lit')")
    page.keyboard.press("Tab")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
