from __future__ import annotations

import time

from starlette.testclient import TestClient

from tests.conftest import PARISH


def _finished(client: TestClient, path: str) -> str:
    for _ in range(200):
        text = client.get(path, headers={"X-Part": "1"}).text
        if 'data-state="running"' not in text and 'data-state="waiting"' not in text:
            return text
        time.sleep(0.05)
    raise AssertionError("the work never ended")


def test_an_empty_library_shows_the_way_in_and_offers_the_demo(empty: TestClient) -> None:
    page = empty.get("/").text
    assert page.count("<h2>") == 3
    assert 'action="/demo"' in page


def test_the_demo_parish_comes_in_with_one_click(empty: TestClient) -> None:
    answer = empty.post("/demo", content=b"")
    assert "4 hymns were put in" in _finished(empty, answer.headers["location"])
    assert "The lamps are lit" in empty.get("/").text


def test_several_scores_come_in_and_a_bad_one_is_told_in_words(empty: TestClient) -> None:
    good = (PARISH / "osmerley.abc").read_bytes()
    files = [
        ("scores", ("../../osmerley.abc", good, "text/plain")),
        ("scores", ("bad.abc", b"", "text/plain")),
    ]
    answer = empty.post("/hymns", files=files)
    text = _finished(empty, answer.headers["location"])
    assert "One hymn was put in" in text
    assert "bad.abc: " in text
    assert "Traceback" not in text
    assert "osmerley.abc" in empty.get("/hymns/1").text or empty.get("/hymns/1").status_code == 200


def test_hymns_are_found_by_words_and_by_notes(parish: TestClient) -> None:
    page = parish.get("/", params={"text": "lamps"}).text
    assert "The lamps are lit" in page
    assert "Now is the hour" not in page
    page = parish.get("/", params={"notes": "5 1 1 1 2 3"}).text
    assert page.count('<th scope="row">') < 4


def test_what_is_not_understood_is_said_and_nothing_found_is_no_first_run(
    parish: TestClient,
) -> None:
    page = parish.get("/", params={"key": "H sharp"})
    assert page.status_code == 200
    assert 'role="alert"' in page.text
    assert "fits all of that" in parish.get("/", params={"text": "zebra"}).text


def test_a_hymn_is_taken_out(parish: TestClient) -> None:
    assert parish.post("/hymns/1/remove", content=b"").status_code == 303
    assert parish.get("/hymns/1").status_code == 404
