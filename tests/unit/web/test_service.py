from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from suspirium.desk.own_desk import organs, own_desk

STEM = "2026-12-06-second-sunday-of-advent"


def _begun(parish: TestClient) -> str:
    parish.post("/organ/demo", content=b"")
    asked = {
        "name": "Second Sunday of Advent",
        "date": "2026-12-06",
        "begins": "10:00",
        "organ": "netherwick",
    }
    path = str(parish.post("/service", data=asked).headers["location"])
    parish.post(f"{path}/add", data={"hymn": "1", "place": "opening"})
    parish.post(f"{path}/add", data={"what": "Sermon", "minutes": "12"})
    parish.post(f"{path}/add", data={"hymn": "2", "place": "closing", "amen": "1"})
    return path


def _titles(page: str) -> list[str]:
    return re.findall(r"<h2>([^<]+?) <span", page)


def test_a_service_shows_times_keys_and_stops(parish: TestClient) -> None:
    path = _begun(parish)
    assert path == f"/service/{STEM}"
    page = parish.get(path).text
    assert _titles(page) == ["The lamps are lit", "Sermon", "Come, you rivers"]
    for words in ("10:00", "F major; half note = 53", "Step 3", "has an amen"):
        assert words in page


def test_moments_move_and_go_but_not_unseen(parish: TestClient) -> None:
    path = _begun(parish)
    page = parish.get(path).text
    found = re.search(r'name="version" value="(\w+)"', page)
    assert found
    move = {"version": found.group(1), "moment": "2", "how": "up"}
    assert parish.post(f"{path}/change", data=move).status_code == 303
    assert _titles(parish.get(path).text) == ["The lamps are lit", "Come, you rivers", "Sermon"]
    stale = parish.post(f"{path}/change", data=move)
    assert stale.status_code == 422
    assert "changed in another window" in stale.text


def _version(page: str) -> str:
    found = re.search(r'name="version" value="(\w+)"', page)
    assert found
    return found.group(1)


def test_a_hymn_is_played_in_another_way_where_it_stands(parish: TestClient) -> None:
    path = _begun(parish)
    before = parish.get(path).text
    asked = {
        "version": _version(before),
        "moment": "2",
        "how": "anew",
        "place": "communion",
        "stanzas": "1,3",
        "key": "-2",
        "introduction": "0",
        "character-3": "great",
    }
    assert parish.post(f"{path}/change", data=asked).status_code == 303
    page = parish.get(path).text
    assert _titles(page) == _titles(before)
    assert "You call this stanza great" in page
    assert "F major; " in page
    assert "introduction: none" in page
    assert "has an amen" not in page, "a tick taken off is off"


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"stanzas": "9"}, "has no stanza 9"),
        ({"character-1": "loud"}, "not &#39;loud&#39;"),
        ({"key": "40"}, "too far"),
    ],
)
def test_what_cannot_be_played_changes_nothing(
    parish: TestClient, wrong: dict[str, str], told: str
) -> None:
    path = _begun(parish)
    before = parish.get(path).text
    asked = {"version": _version(before), "moment": "0", "how": "anew"} | wrong
    answer = parish.post(f"{path}/change", data=asked)
    assert answer.status_code == 422
    assert told in answer.text
    assert parish.get(path).text == before


def test_sheets_sound_and_bench_view(parish: TestClient) -> None:
    path = _begun(parish)
    assert parish.get(f"{path}/bench.pdf").content.startswith(b"%PDF-")
    assert parish.get(f"{path}/choir.pdf").content.startswith(b"%PDF-")
    assert parish.get(f"{path}/service.ics").text.startswith("BEGIN:VCALENDAR")
    assert parish.get(f"{path}/hymn-1.flac").content.startswith(b"fLaC")  # RFC 9639
    assert parish.get(f"{path}/hymn-3.flac").status_code == 404
    bench = parish.get(f"{path}/bench").text
    assert bench.count("data-hymn") == 2
    assert "Step 3" in bench
    assert parish.get(f"{path}/elsewhere").status_code == 404


def test_what_is_wrong_is_said_and_no_path_leads_out(parish: TestClient) -> None:
    path = _begun(parish)
    wrong = parish.post(f"{path}/add", data={"hymn": "1", "stanzas": "9"})
    assert wrong.status_code == 422
    assert "has no stanza 9" in wrong.text
    assert len(_titles(parish.get(path).text)) == 3, "what can't be played is not put in"
    assert parish.get("/service/..%2F..%2Fdesk").status_code in (404, 422)
    assert parish.get("/service/none").status_code == 422
    assert parish.post("/service", data={"name": " "}).status_code == 422


def test_the_room_is_kept_and_every_plan_is_made_for_it(parish: TestClient) -> None:
    before = parish.get("/hymns/1").text
    assert parish.post("/organ", data={"room": "cathedral", "singers": "400"}).status_code == 303
    assert own_desk().room == "cathedral"
    assert parish.get("/hymns/1").text != before
    answer = parish.post("/organ", data={"room": "a barn"})
    assert answer.status_code == 422
    assert own_desk().room == "cathedral"


def test_a_stop_list_that_is_wrong_is_said_and_stays_in_the_field(parish: TestClient) -> None:
    text = 'name = "Mine"\n[Great]\ncompass = ["C2", "G6"]\nstops = ["Whistle 8 kazoo"]\n'
    answer = parish.post("/organ/stops", data={"text": text})
    assert answer.status_code == 422
    assert "Whistle 8 kazoo" in answer.text
    assert organs() == {}
    good = text.replace("Whistle 8 kazoo", "Principal 8 principal")
    assert parish.post("/organ/stops", data={"text": good}).status_code == 303
    assert organs()["mine"].name == "Mine"


def test_an_organ_is_filled_in_and_faults_are_said(empty: TestClient) -> None:
    asked = {
        "name": "My church",
        "division-0-name": "Great",
        "division-0-compass": "C2-G6",
        "division-0-stop-0": "Flute",
        "division-0-feet-0": "8",
        "division-0-family-0": "flute",
    }
    more = empty.post("/organ/stops", data=asked | {"how": "division"})
    assert 'name="division-1-name"' in more.text
    assert organs() == {}
    wrong = empty.post("/organ/stops", data=asked | {"division-0-feet-0": "9"})
    assert wrong.status_code == 422
    assert "no stop is at 9 foot" in wrong.text
    assert 'value="Flute"' in wrong.text
    assert empty.post("/organ/stops", data=asked).status_code == 303
    (stem,) = organs()
    assert 'value="Flute"' in empty.get(f"/organ?organ={stem}").text


def test_a_measured_room_goes_before_the_list(empty: TestClient) -> None:
    assert empty.post("/organ", data={"room": "chapel"}).status_code == 303
    assert own_desk().room == "chapel"
    asked = {"room": "chapel", "hangs": "2,4", "away": "18"}
    assert empty.post("/organ", data=asked).status_code == 303
    assert own_desk().room == "2.4,18"
    assert 'value="2.4"' in empty.get("/organ").text
