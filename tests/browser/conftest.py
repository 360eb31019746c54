"""The app in a real browser: the system's Chromium, driven by Playwright.

Where there is no Chromium these tests are skipped, saying so.
"""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from starlette.applications import Starlette

from suspirium.desk.hymnal import VARIABLE, add_scores, the_library
from suspirium.desk.parish import parish_scores
from suspirium.web.app import create_app
from suspirium.web.settings import WebSettings

sync_api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")

MONDAY = date(2026, 11, 23)
ELSEWHERE = "desk.test"  # as a tablet sees the app: by a name that isn't this machine's own
FLAGS = [
    "--no-sandbox",
    "--autoplay-policy=no-user-gesture-required",
    "--use-fake-ui-for-media-stream",
    "--use-fake-device-for-media-stream",
    f"--host-resolver-rules=MAP {ELSEWHERE} 127.0.0.1",
]


@dataclass(frozen=True)
class Desk:
    """A running app."""

    url: str
    app: Starlette


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    path = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
    if path is None:
        pytest.skip("no Chromium on this machine: the browser tests are skipped")
    with sync_api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield started
        started.close()


@pytest.fixture
def serve(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[], Desk]]:
    """Starts the app over a library of this test's own."""
    servers: list[tuple[uvicorn.Server, threading.Thread]] = []

    def start() -> Desk:
        listening = socket.create_server(("127.0.0.1", 0))
        port = listening.getsockname()[1]
        app = create_app(WebSettings(port, hosts=(ELSEWHERE,), today=lambda: MONDAY))
        server = uvicorn.Server(uvicorn.Config(app, log_level="error"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        servers.append((server, thread))
        return Desk(f"http://127.0.0.1:{port}", app)

    monkeypatch.setenv(VARIABLE, str(tmp_path / "hymnal.sqlite"))
    yield start
    for server, thread in servers:
        server.should_exit = True
        thread.join(10)


@pytest.fixture
def parish(serve: Callable[[], Desk]) -> Desk:
    """The app over a library that holds the demo parish."""
    with the_library() as library:
        add_scores(library, parish_scores(), processes=1)
    return serve()


@pytest.fixture
def context(browser: Any) -> Iterator[Any]:
    made = browser.new_context(viewport={"width": 1280, "height": 900}, reduced_motion="reduce")
    made.set_default_timeout(15_000)
    yield made
    made.close()


@pytest.fixture
def page(context: Any) -> Iterator[Any]:
    """A page that must not say anything on its console."""
    opened = context.new_page()
    faults: list[str] = []
    opened.on("pageerror", lambda error: faults.append(str(error)))

    def heard(message: Any) -> None:
        refused = message.location.get("url") == opened.url or "status of 422" in message.text
        if message.type == "error" and not refused:  # a refusal is told on the page
            faults.append(message.text)

    opened.on("console", heard)
    yield opened
    assert faults == []
