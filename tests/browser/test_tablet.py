"""A tablet sees the app by another name than this machine's own: what its browser then allows."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from suspirium.web.certificate import certificate_for
from suspirium.web.serving import beside
from tests.browser.conftest import ELSEWHERE, Desk

AWAKE = "Boolean(navigator.wakeLock) && Boolean(navigator.mediaDevices)"


@pytest.fixture
def safe_url(parish: Desk, tmp_path: Path) -> Iterator[str]:
    """The same app by https, vouched for by nobody, as the tablet gets it."""
    listening = socket.create_server(("127.0.0.1", 0))
    with beside(parish.app, listening, certificate_for("127.0.0.1", tmp_path)):
        yield f"https://{ELSEWHERE}:{listening.getsockname()[1]}"


@pytest.fixture
def tablet(browser: Any) -> Iterator[Any]:
    """A browser whose user has chosen to go on in spite of the warning."""
    made = browser.new_context(
        viewport={"width": 768, "height": 1024}, ignore_https_errors=True, has_touch=True
    )
    made.set_default_timeout(15_000)
    yield made
    made.close()


def test_by_http_the_screen_may_sleep_and_the_page_says_so(parish: Desk, tablet: Any) -> None:
    """W3C, Secure Contexts: neither wake lock nor microphone by plain http from elsewhere."""
    page = tablet.new_page()
    page.goto(parish.url.replace("127.0.0.1", ELSEWHERE) + "/hymns/1/bench")
    page.wait_for_selector("[data-awake]:not([hidden])")
    assert not page.evaluate(AWAKE)


def test_by_https_the_screen_is_kept_awake(safe_url: str, tablet: Any) -> None:
    page = tablet.new_page()
    page.goto(f"{safe_url}/hymns/1/bench")
    page.wait_for_load_state("networkidle")
    assert page.evaluate("isSecureContext")
    assert page.evaluate(AWAKE)
    assert page.is_hidden("[data-awake]")


def test_by_https_the_pages_work_as_ever(safe_url: str, tablet: Any) -> None:
    page = tablet.new_page()
    page.goto(f"{safe_url}/hymns/1/bench")
    page.touchscreen.tap(600, 400)
    assert page.get_attribute(".stanza:not([hidden])", "id") == "h1-2"
    page.goto(f"{safe_url}/organ")
    page.fill("#singers", "70")
    page.click("button.main >> nth=0")
    page.wait_for_selector("[role=status]")
    assert page.input_value("#singers") == "70"
