from __future__ import annotations

import io
import json
import time
from pathlib import Path

import mido
import pytest
from starlette.testclient import TestClient

from suspirium.desk.planning import plan_file
from suspirium.errors import TakeError
from suspirium.render.keys_midi import keys_midi
from tests.conftest import PARISH
from tests.playing import Playing, as_midi, play


def _heard(client: TestClient, path: str) -> str:
    for _ in range(400):
        text = client.get(path, headers={"X-Part": "1"}).text
        if 'data-state="done"' in text or 'data-state="failed"' in text:
            return text
        time.sleep(0.05)
    raise AssertionError("the take was never heard")


def _take() -> bytes:
    return as_midi(play(plan_file(PARISH / "fallowmere.abc"), Playing(seed=1)).notes)


def test_a_file_is_heard_kept_and_can_be_taken_out(parish: TestClient) -> None:
    files = {"take": ("../take.mid", _take(), "audio/midi")}
    answer = parish.post("/hymns/1/takes", files=files)
    assert 'data-result="/takes/1"' in _heard(parish, answer.headers["location"])
    page = parish.get("/takes/1").text
    assert "The pulse, early or late" in page
    assert "var(--ink)" in page
    assert parish.get("/takes/1/take.pdf").content.startswith(b"%PDF-")
    assert "/takes/1" in parish.get("/hymns/1/takes").text
    assert parish.post("/takes/1/remove", content=b"").status_code == 303
    assert parish.get("/takes/1").status_code in (404, 422)


def test_noise_is_refused_in_words(parish: TestClient) -> None:
    files = {"take": ("take.mid", b"MThd but no more", "audio/midi")}
    text = _heard(parish, parish.post("/hymns/1/takes", files=files).headers["location"])
    assert 'data-state="failed"' in text
    assert "damaged" in text


@pytest.mark.parametrize("keys", ["", "[]", "{}", "nonsense", '[["a", 1, 2, 3]]', "[[]]"])
def test_keys_that_did_not_arrive_whole_are_said(parish: TestClient, keys: str) -> None:
    answer = parish.post("/hymns/1/takes", data={"keys": keys}, headers={"X-Part": "1"})
    assert answer.status_code == 422
    assert "Traceback" not in answer.text


def test_keys_become_a_standard_midi_file(tmp_path: Path) -> None:
    """Read back by mido: notes at the milliseconds they were played."""
    events = [[1000.0, 0x90, 60, 80], [1500.4, 0x80, 60, 0], [1200.0, 0xB0, 64, 127]]
    file = mido.MidiFile(file=io.BytesIO(keys_midi(events)))
    played = [m for m in file if m.type.startswith("note")]
    assert [m.note for m in played] == [60, 60]
    assert [round(m.time, 3) for m in played] == [1.0, 0.5]


def test_no_key_is_no_take() -> None:
    with pytest.raises(TakeError, match="no key was pressed"):
        keys_midi(json.loads("[[0, 144, 60, 0]]"))
