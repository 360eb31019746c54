from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from suspirium.desk.finding import found_in
from suspirium.desk.hymnal import the_library


def _version(page: str) -> str:
    found = re.search(r'name="version" value="(\w+)"', page)
    assert found
    return found.group(1)


def _kept() -> str:
    with the_library() as library:
        return found_in(library, 1).overrides or ""


def _set(client: TestClient, **asked: str) -> int:
    version = _version(client.get("/hymns/1/hands").text)
    return client.post("/hymns/1/hands", data={"version": version} | asked).status_code


def test_a_finger_and_a_foot_stay_and_can_be_let_go(parish: TestClient) -> None:
    assert _set(parish, note="n0-2", fingers="4 5") == 303
    assert _set(parish, note="n3-2", foot="left", part="heel") == 303
    assert "fingers = [4, 5]" in _kept()
    assert 'foot = "left"\npart = "heel"' in _kept()
    page = parish.get("/hymns/1/hands").text
    assert page.count("Let it go") == 2
    assert _set(parish, note="n0-2") == 303
    assert _set(parish, note="n3-2") == 303
    assert _kept() == ""


def test_the_rest_is_found_anew(parish: TestClient) -> None:
    before = parish.get("/hymns/1/hands").text
    _set(parish, note="n0-3", fingers="1")
    after = parish.get("/hymns/1/hands").text
    figures = re.compile(r'class="music".*?</svg>', re.S)
    assert figures.findall(before)[0] != figures.findall(after)[0]


@pytest.mark.parametrize(
    "asked", [{"note": "n0-2", "fingers": "6"}, {"note": "n9-9", "fingers": "1"}, {"fingers": "1"}]
)
def test_what_nobody_can_play_is_said(parish: TestClient, asked: dict[str, str]) -> None:
    assert _set(parish, **asked) == 422
    assert _kept() == ""


def test_part_sheets_and_the_marked_score_are_printed(parish: TestClient) -> None:
    for sheet in ("marked", "words", "parts"):
        assert parish.get(f"/hymns/1/print/{sheet}.pdf").content.startswith(b"%PDF-")
    assert parish.get("/hymns/1/print/elsewhere.pdf").status_code == 422


def test_the_voices_are_shared_as_asked(parish: TestClient) -> None:
    usual, hands = (parish.get(f"/hymns/1/hands{asked}").text for asked in ("", "?shared=manuals"))
    assert 'data-pedal="yes"' in usual
    assert 'data-pedal="yes"' not in hands
    assert "/hymns/1/print/parts.pdf?shared=manuals" in hands
    sheets = [
        parish.get(f"/hymns/1/print/parts.pdf{asked}").content for asked in ("", "?shared=solo")
    ]
    assert sheets[0] != sheets[1]
    data = {"version": _version(hands), "note": "n3-2", "fingers": "4"}
    answer = parish.post("/hymns/1/hands?shared=manuals", data=data)
    assert answer.headers["location"] == "/hymns/1/hands?shared=manuals&said=kept"


def test_an_organ_without_pedal_is_this_desk_s_usual(parish: TestClient) -> None:
    parish.post("/organ", data={"shared": "manuals"})
    assert 'data-pedal="yes"' not in parish.get("/hymns/1/hands").text
    assert 'data-pedal="yes"' in parish.get("/hymns/1/hands?shared=pedal").text
    assert parish.post("/organ", data={"shared": "three feet"}).status_code == 422
