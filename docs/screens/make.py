"""Makes the pictures of the tour: the demo parish's week in the system's Chromium.

Run it from the project's folder: ``PYTHONPATH=. .venv/bin/python docs/screens/make.py``.
"""

from __future__ import annotations

import os
import shutil
import socket
import tempfile
import threading
import time
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import uvicorn
from playwright.sync_api import sync_playwright
from tests.playing import Playing, as_midi, play

from suspirium.desk.hymnal import VARIABLE, add_scores, the_library
from suspirium.desk.own_desk import take_in_parish_organs
from suspirium.desk.parish import parish_scores
from suspirium.desk.planning import Settings, plan_file
from suspirium.desk.takes import hear
from suspirium.web.app import create_app
from suspirium.web.settings import WebSettings

HERE = Path(__file__).parent
MONDAY = date(2026, 11, 23)
DESK, TABLET, PHONE = (1280, 900), (768, 1024), (390, 844)
ADVENT = "2026-11-29-first-sunday-of-advent"


def main() -> None:
    """All pictures."""
    folder = Path(tempfile.mkdtemp())
    os.environ[VARIABLE] = str(folder / "hymnal.sqlite")
    listening = socket.create_server(("127.0.0.1", 0))
    port = listening.getsockname()[1]
    settings = WebSettings(8470, "192.0.2.7", "246802", today=lambda: MONDAY, safe_port=8471)
    server = uvicorn.Server(uvicorn.Config(create_app(settings), log_level="error"))
    threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True).start()
    while not server.started:
        time.sleep(0.05)
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        page = browser.new_page(reduced_motion="reduce")
        _pictures(page, f"http://127.0.0.1:{port}", folder)
        browser.close()
    server.should_exit = True
    shutil.rmtree(folder, ignore_errors=True)


def _pictures(page: Any, url: str, folder: Path) -> None:
    def shot(name: str, path: str, size: tuple[int, int], ready: Callable[[], Any] = int) -> None:
        page.set_viewport_size({"width": size[0], "height": size[1]})
        if path:
            page.goto(url + path)
        ready()
        page.wait_for_timeout(350)
        page.screenshot(path=HERE / f"{name}.png")

    shot("first-run", "/", DESK)
    with the_library() as library:
        add_scores(library, parish_scores(), processes=1)
    take_in_parish_organs()
    shot("hymns", "/", DESK)
    shot("hymn", "/hymns/1", DESK)
    shot("change", "", DESK, lambda: _change(page))
    shot("hear", "/hymns/1", DESK, lambda: _hear(page))
    shot("hands", "/hymns/1/hands", DESK)
    shot("about", "/hymns/1/about", DESK)
    _week(page, url)
    shot("week", "/week", DESK)
    _take(folder)
    shot("take-new", "/hymns/1/takes", DESK)
    shot("take", "/takes/1", DESK)
    _service(page, url)
    shot("service", f"/service/{ADVENT}", DESK)
    shot("bench", f"/service/{ADVENT}/bench#h1-2", TABLET)
    page.evaluate("document.documentElement.dataset.theme = 'dark'")
    shot("bench-dark", "", TABLET)
    shot("organ", "/organ", DESK)
    shot("tablet", "/tablet", DESK)
    shot("phone", "/hymns/1", PHONE, lambda: page.wait_for_selector(".score[data-width='85']"))


def _change(page: Any) -> None:
    page.fill("#tempo", "46")
    page.wait_for_selector("#trial .summary:has-text('= 46')")
    page.evaluate("document.querySelector('#decide').scrollIntoView()")


def _hear(page: Any) -> None:
    page.on("dialog", lambda dialog: dialog.accept())
    page.select_option("#play-measure", "4")
    page.click("[data-play]")
    page.wait_for_selector(".lit")


def _week(page: Any, url: str) -> None:
    page.goto(f"{url}/week/new")
    for number in range(3):
        page.locator("input[name=hymn]").nth(number).check()
    page.click("text=Lay out the week")
    page.wait_for_selector("h2:has-text('Today')")


def _take(folder: Path) -> None:
    path = folder / "monday.mid"
    plan = plan_file(Path("1"))
    how = Playing(seed=5, no_lift=frozenset({(0, 1)}), added={(1, 2): 0.8})
    path.write_bytes(as_midi(play(plan, how).notes))
    with the_library() as library:
        hear(library, 1, path, Settings(), datetime(2026, 11, 23, 19, 40))


def _service(page: Any, url: str) -> None:
    page.goto(f"{url}/service")
    page.fill("#name", "First Sunday of Advent")
    page.fill("#date", "2026-11-29")
    page.select_option("#organ", "netherwick")
    page.click("text=Begin it")
    for hymn, place in (("1", "opening"), ("3", "middle"), ("4", "closing")):
        page.select_option("#hymn", hymn)
        page.select_option("#place", place)
        page.click("button:has-text('Add') >> nth=0")
        page.wait_for_selector("text=Changed.")


if __name__ == "__main__":
    main()
