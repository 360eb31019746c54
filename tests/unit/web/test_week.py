from __future__ import annotations

import re
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from suspirium.desk.hymnal import VARIABLE, add_scores, the_library
from suspirium.desk.parish import parish_scores
from suspirium.web.app import create_app
from suspirium.web.settings import WebSettings
from tests.unit.web.conftest import BASE


class Clock:
    """A day that a test can move."""

    today = date(2026, 11, 23)

    def __call__(self) -> date:
        return self.today


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, clock: Clock) -> Iterator[TestClient]:
    monkeypatch.setenv(VARIABLE, str(tmp_path / "hymnal.sqlite"))
    with the_library() as library:
        add_scores(library, parish_scores()[:2], processes=1)
    app = create_app(WebSettings(today=clock))
    with TestClient(app, base_url=BASE, follow_redirects=False) as client:
        yield client


def _asked(**more: str) -> dict[str, object]:
    days = dict.fromkeys(("mon", "tue", "wed", "thu", "fri", "sat"), "20")
    return {"service": "2026-11-29", "hymn": ["1", "2"], "sun": "0"} | days | more


def _planned(desk: TestClient, **more: str) -> str:
    job = desk.post("/week", data=_asked(**more)).headers["location"]
    for _ in range(400):
        text = desk.get(job, headers={"X-Part": "1"}).text
        if 'data-state="done"' in text or 'data-state="failed"' in text:
            return text
        time.sleep(0.05)
    raise AssertionError("the week was never laid out")


def test_without_a_week_there_is_a_form(desk: TestClient) -> None:
    page = desk.get("/week").text
    assert "Lay out the week" in page
    assert 'value="2026-11-29"' in page  # the Sunday that comes


def test_a_week_is_laid_out_and_a_done_task_is_noted(desk: TestClient) -> None:
    _planned(desk)
    page = desk.get("/week").text
    assert "Today, Monday 23 November" in page
    assert page.count("It went clean") >= 2
    assert desk.post("/week/done", data={"number": "1", "went": "faulty"}).status_code == 303
    after = desk.get("/week").text
    assert after.count("It went clean") == page.count("It went clean") - 1
    assert desk.post("/week/done", data={"number": "99", "went": "clean"}).status_code == 422


def test_every_task_has_its_page_and_its_sound(desk: TestClient) -> None:
    _planned(desk)
    assert desk.get("/week/task-1.pdf").content.startswith(b"%PDF-")
    assert desk.get("/week/task-1.ogg").content.startswith(b"OggS")  # RFC 3533
    assert desk.get("/week/task-99.pdf").status_code == 422
    assert desk.get("/week/week.pdf").content.startswith(b"%PDF-")
    assert desk.get("/week/week.ics").text.startswith("BEGIN:VCALENDAR")  # RFC 5545


@pytest.mark.parametrize(
    "wrong", [{"service": "2026-11-01"}, {"mon": "-5"}, {"service": "soon"}, {"known-1": "well"}]
)
def test_what_can_not_be_laid_out_is_said(desk: TestClient, wrong: dict[str, str]) -> None:
    answer = desk.post("/week", data=_asked(**wrong))
    if answer.status_code == 303:
        assert 'data-state="failed"' in _planned(desk, **wrong)
    else:
        assert answer.status_code == 422
    assert "Lay out the week" in desk.get("/week").text


def test_no_hymn_chosen_is_said(desk: TestClient) -> None:
    answer = desk.post("/week", data={k: v for k, v in _asked().items() if k != "hymn"})
    assert answer.status_code == 422


def test_after_the_service_one_tells_how_it_went(desk: TestClient, clock: Clock) -> None:
    _planned(desk)
    clock.today = date(2026, 11, 30)
    page = desk.get("/week").text
    assert "How did they go?" in page
    assert desk.post("/week/sung", data={"1": "well", "2": ""}).status_code == 303


def test_the_second_look_is_quick(desk: TestClient) -> None:
    _planned(desk)
    desk.get("/week")
    begin = time.perf_counter()
    desk.get("/week")
    assert time.perf_counter() - begin < 0.15


def test_numbers_nobody_measured_can_be_moved(desk: TestClient) -> None:
    page = desk.get("/week/new").text
    assert 'placeholder="0.25"' in page
    assert "Rate goes from 0.0625 to 1, not to 9" in _planned(desk, **{"slider-rate": "9"})
    _planned(desk, **{"slider-rate": "0,1"})
    slow = _ready(desk)
    _planned(desk)
    assert slow < _ready(desk)


def _ready(desk: TestClient) -> int:
    then = re.findall(r'<td class="figure">(\d+) %</td></tr>', desk.get("/week").text)
    return sum(map(int, then))


def test_a_task_sounds_as_chosen(desk: TestClient) -> None:
    _planned(desk)
    usual = desk.get("/week/task-1.ogg").content
    page = desk.get("/week?sound=&ticks=1")  # the form, the other parts not ticked
    assert 'task-1.ogg?sound=ticks"' in page.text
    assert 'task-1.ogg?sound=ticks"' in desk.get("/week").text  # as last chosen
    alone = desk.get("/week/task-1.ogg?sound=ticks").content
    silent = desk.get("/week/task-1.ogg?sound=alone").content
    assert len({usual, alone, silent}) == 3
    assert usual == desk.get("/week/task-1.ogg?sound=ticks-others").content
