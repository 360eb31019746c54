"""The bench view: turned by keys and taps, awake, and there without the network."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import Desk


def _stanza(page: Any) -> str:
    return str(page.get_attribute(".stanza:not([hidden])", "id"))


@pytest.mark.parametrize(
    ("on", "back"), [("PageDown", "PageUp"), ("ArrowRight", "ArrowLeft"), ("ArrowDown", "ArrowUp")]
)
def test_foot_switches_and_arrows_turn(parish: Desk, page: Any, on: str, back: str) -> None:
    page.goto(f"{parish.url}/hymns/1/bench")
    assert _stanza(page) == "h1-1"
    page.keyboard.press(on)
    assert _stanza(page) == "h1-2"
    for _ in range(5):
        page.keyboard.press(on)
    last = _stanza(page)
    page.keyboard.press(back)
    assert _stanza(page) != last


def test_a_tap_turns_on_and_at_the_left_back(parish: Desk, page: Any) -> None:
    page.set_viewport_size({"width": 768, "height": 1024})
    page.goto(f"{parish.url}/hymns/1/bench")
    page.mouse.click(600, 400)
    assert _stanza(page) == "h1-2"
    page.mouse.click(60, 400)
    assert _stanza(page) == "h1-1"


def test_all_of_a_stanza_is_seen_at_once(parish: Desk, page: Any) -> None:
    """A tablet on the music desk is not scrolled."""
    page.set_viewport_size({"width": 768, "height": 1024})
    for number in (1, 2, 3, 4):
        page.goto(f"{parish.url}/hymns/{number}/bench")
        assert page.evaluate("document.documentElement.scrollHeight") <= 1024


def test_it_opens_without_the_network_once_opened(parish: Desk, context: Any) -> None:
    page = context.new_page()
    page.goto(f"{parish.url}/hymns/1/bench")
    page.wait_for_selector("[data-offline]:not([hidden])")
    context.set_offline(True)
    page.reload()
    page.keyboard.press("PageDown")
    assert _stanza(page) == "h1-2"
    assert "Source Serif Pro" in page.evaluate("getComputedStyle(document.body).fontFamily")


def test_the_screen_is_kept_awake(parish: Desk, page: Any) -> None:
    """Asked for by the Screen Wake Lock API (W3C), simulated at the browser's interface."""
    page.add_init_script(
        "window.asked = [];"
        "Object.defineProperty(navigator, 'wakeLock',"
        " {value: {request: async (kind) => { window.asked.push(kind); }}});"
    )
    page.goto(f"{parish.url}/hymns/1/bench")
    assert page.evaluate("window.asked") == ["screen"]
    assert page.is_hidden("[data-awake]")


def test_saved_as_a_file_it_needs_no_server(parish: Desk, page: Any, tmp_path: Path) -> None:
    page.goto(f"{parish.url}/hymns/1/bench")
    with page.expect_download() as download:
        page.click("text=Save on this tablet")
    path = tmp_path / "hymn.html"
    download.value.save_as(path)
    page.goto(path.as_uri())
    page.keyboard.press("PageDown")
    assert _stanza(page) == "h1-2"


def test_dark_or_paper_is_remembered(parish: Desk, page: Any) -> None:
    page.goto(f"{parish.url}/hymns/1/bench")
    light = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    page.click("[data-bench-theme]")
    page.reload()
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") != light
