from __future__ import annotations

import io
import re

import mido
import pytest
import soundfile
from starlette.testclient import TestClient

from suspirium.desk.hearing import Hearing, hearing, timing_of
from suspirium.desk.planning import plan_file
from suspirium.errors import OutputError
from tests.conftest import PARISH


def test_the_recording_can_be_entered_anywhere(parish: TestClient) -> None:
    """RFC 9110, 14: a part of a file is answered with 206 and that part."""
    whole = parish.get("/hymns/1/sound.flac")
    assert whole.headers["accept-ranges"] == "bytes"
    part = parish.get("/hymns/1/sound.flac", headers={"Range": "bytes=100-199"})
    assert part.status_code == 206
    assert part.content == whole.content[100:200]


def test_times_end_with_the_recording(parish: TestClient) -> None:
    timing = parish.get("/hymns/1/timing.json").json()
    sound = soundfile.info(io.BytesIO(parish.get("/hymns/1/sound.flac").content))
    last = max(to for _, to, _ in timing["notes"])
    assert last == pytest.approx(timing["duration_s"], abs=0.01)
    assert last < sound.duration < last + 5  # the room still sounds


def test_every_lit_note_is_on_the_page(parish: TestClient) -> None:
    timing = parish.get("/hymns/1/timing.json").json()
    drawn = set(re.findall(r'id="(n\d+-\d+)"', parish.get("/hymns/1").text))
    lit = {one for _, _, ids in timing["notes"] for one in ids}
    assert lit == drawn


@pytest.mark.parametrize(
    ("form", "begins"), [("ogg", b"OggS"), ("flac", b"fLaC"), ("midi", b"MThd")]
)
def test_a_hymn_is_taken_along(parish: TestClient, form: str, begins: bytes) -> None:
    """Magic numbers: RFC 3533, RFC 9639, Standard MIDI Files 1.0."""
    answer = parish.get(f"/hymns/1/file?form={form}&tempo=100&voices=&key=-2")
    assert answer.content.startswith(begins)
    assert "attachment" in answer.headers["content-disposition"]


def test_what_is_taken_along_heeds_key_voices_and_tempo(parish: TestClient) -> None:
    def sounding(query: str) -> tuple[set[int], float]:
        content = parish.get(f"/hymns/1/file?form=midi&{query}").content
        file = mido.MidiFile(file=io.BytesIO(content))
        return {each.note for each in file if each.type == "note_on"}, file.length

    whole, lasts = sounding("")
    assert {key - 2 for key in whole} == sounding("key=-2")[0]
    assert sounding("voices=bass")[0] < whole
    assert sounding("tempo=50")[1] == pytest.approx(2 * lasts, rel=0.01)
    assert parish.get("/hymns/1/file?form=mp3").status_code == 422


def test_half_the_tempo_lasts_twice_as_long() -> None:
    plan = plan_file(PARISH / "osmerley.abc")
    full, half = (timing_of(plan, Hearing(share)) for share in (1.0, 0.5))
    firsts = [timing["measures"][5][0] - timing["measures"][0][0] for timing in (full, half)]
    assert firsts[1] == pytest.approx(2 * firsts[0], abs=0.01)


@pytest.mark.parametrize(("percent", "voices"), [("5", ""), ("slow", ""), ("100", "descant")])
def test_what_can_not_sound_is_said(percent: str, voices: str) -> None:
    with pytest.raises(OutputError):
        hearing(percent, False, voices)
