"""Long work in a browser: seen again after a reload, stopped, failures in words."""

from __future__ import annotations

import threading
import time
from typing import Any

from suspirium.errors import ScoreError
from suspirium.web.jobs import Job, Outcome
from tests.browser.conftest import Desk


def test_progress_survives_a_reload_and_any_page_leads_back_to_it(parish: Desk, page: Any) -> None:
    go_on = threading.Event()

    def work(job: Job) -> Outcome:
        job.tell("engraving", 2, 5)
        go_on.wait(20)
        return Outcome("", "/week/new")

    job = parish.app.state.desk.jobs.begin("A long piece of work", work)
    page.goto(f"{parish.url}/jobs/{job.number}")
    page.wait_for_selector("text=2 of 5")
    page.reload()
    page.wait_for_selector("text=2 of 5")
    page.goto(f"{parish.url}/")
    page.click("text=One piece of work is under way")
    go_on.set()
    page.wait_for_url("**/week/new")


def test_it_stops_when_told(parish: Desk, page: Any) -> None:
    def work(job: Job) -> Outcome:
        while True:
            job.tell("on and on")
            time.sleep(0.02)

    job = parish.app.state.desk.jobs.begin("Endless", work)
    page.goto(f"{parish.url}/jobs/{job.number}")
    page.click("button:has-text('Stop')")
    page.wait_for_selector("[data-state=stopped]")


def test_why_it_failed_is_said(parish: Desk, page: Any) -> None:
    def work(job: Job) -> Outcome:
        raise ScoreError("measure 3 is empty")

    job = parish.app.state.desk.jobs.begin("Reading", work)
    page.goto(f"{parish.url}/jobs/{job.number}")
    page.wait_for_selector("text=Measure 3 is empty")
