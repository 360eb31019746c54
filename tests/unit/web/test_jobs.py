from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest

from suspirium.errors import ScoreError
from suspirium.web.jobs import Job, Jobs, Outcome


@pytest.fixture
def jobs() -> Iterator[Jobs]:
    made = Jobs()
    yield made
    made.close()


def _over(job: Job) -> Job:
    for _ in range(400):
        if job.over:
            return job
        time.sleep(0.01)
    raise AssertionError(f"still {job.state}")


def test_work_is_done_and_says_what_came_of_it(jobs: Jobs) -> None:
    job = _over(jobs.begin("work", lambda job: Outcome("All there.", "/x", ("one thing",))))
    assert (job.state, job.words, job.result, job.remarks) == (
        "done", "All there.", "/x", ("one thing",),
    )  # fmt: skip
    assert jobs.running() == []


def test_progress_is_found_again_by_number(jobs: Jobs) -> None:
    go_on = threading.Event()

    def work(job: Job) -> Outcome:
        job.tell("engraving", 2, 5)
        go_on.wait(5)
        return Outcome("", "/")

    begun = jobs.begin("work", work)
    for _ in range(200):
        found = jobs.find(begun.number)
        if found and found.step:
            break
        time.sleep(0.01)
    assert found is not None
    assert (found.step, found.done, found.total) == ("engraving", 2, 5)
    go_on.set()
    assert _over(begun).state == "done"


def test_what_runs_stops_at_its_next_step_and_what_waits_at_once(jobs: Jobs) -> None:
    steps = 0

    def work(job: Job) -> Outcome:
        nonlocal steps
        while True:
            job.tell("on")
            steps += 1
            time.sleep(0.01)

    first = jobs.begin("first", work)
    second = jobs.begin("second", lambda job: Outcome("", "/"))
    while not steps:
        time.sleep(0.01)
    second.stop()
    assert second.state == "stopped"
    first.stop()
    assert _over(first).state == "stopped"
    time.sleep(0.05)
    assert second.state == "stopped"


def test_what_was_stopped_is_not_shown_as_done(jobs: Jobs) -> None:
    def work(job: Job) -> Outcome:
        job.stop()
        return Outcome("done", "/")

    assert _over(jobs.begin("work", work)).state == "stopped"


def test_failures_are_said_in_words(jobs: Jobs) -> None:
    def expected(job: Job) -> Outcome:
        raise ScoreError("measure 3 is empty")

    def fault(job: Job) -> Outcome:
        raise ZeroDivisionError("x")

    assert _over(jobs.begin("a", expected)).words == "measure 3 is empty"
    job = _over(jobs.begin("b", fault))
    assert job.state == "failed"
    assert "a fault of the program itself" in job.words
