"""Takes as files: what they hold counts, not what they are called."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

import mido
import numpy as np
import pytest
import soundfile

from suspirium.desk.listening import listen_to, take_files
from suspirium.desk.planning import plan_file
from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.render.take_json import take_values
from suspirium.render.take_report import report_html, report_values
from suspirium.render.take_text import take_text
from tests.conftest import PARISH
from tests.playing import Playing, as_midi, play
from tests.sounding import Hall, sound


@cache
def plan() -> LeadingPlan:
    return plan_file(PARISH / "fallowmere.abc")


@cache
def keys() -> bytes:
    return as_midi(play(plan(), Playing(seed=1)).notes)


@pytest.mark.parametrize("name", ["take.mid", "take.wav", "take.flac", "take"])
def test_keys_are_keys_whatever_their_file_is_called(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(keys())
    report = listen_to(plan(), tmp_path / name)
    assert (report.stanzas_found, report.matched is None) == (3, False)


def test_a_recording_called_midi_is_heard_as_a_recording(tmp_path: Path) -> None:
    path = tmp_path / "take.mid"
    soundfile.write(path, np.zeros(16000), 16000, format="WAV")
    with pytest.raises(TakeError, match="silent"):
        listen_to(plan(), path)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"Dear organist, the take is attached.", "no MIDI file"),
        (keys()[: len(keys()) // 2], "its end is missing"),
    ],
    ids=["empty", "text", "cut short"],
)
def test_files_that_are_no_takes_are_said_in_one_sentence(
    tmp_path: Path, data: bytes, words: str
) -> None:
    path = tmp_path / "take.mid"
    path.write_bytes(data)
    with pytest.raises(TakeError, match=words) as said:
        listen_to(plan(), path)
    assert "\n" not in str(said.value)


def test_a_folder_gives_its_takes_in_order(tmp_path: Path) -> None:
    for name in ("b.mid", "a.FLAC", "notes.txt"):
        (tmp_path / name).write_bytes(b"")
    assert [path.name for path in take_files([tmp_path])] == ["a.FLAC", "b.mid"]


def test_a_sustain_pedal_is_told_in_the_report(tmp_path: Path) -> None:
    file = mido.MidiFile(file=io.BytesIO(keys()))
    file.tracks[0].insert(0, mido.Message("control_change", control=64, value=127))
    path = tmp_path / "take.mid"
    file.save(path)
    report = listen_to(plan(), path)
    assert any("sustain" in text for text in report.remarks)
    assert "sustain" in take_text(report)
    assert take_values(report, "take.mid")["remarks"] == list(report.remarks)
    assert "sustain" in report_html(report_values(report, plan(), "take.mid")).decode()


@pytest.mark.parametrize(("gain", "clipped"), [(0.9, False), (4.0, True)])
def test_a_clipped_recording_is_measured_and_said_to_be_less_sure(
    tmp_path: Path, gain: float, clipped: bool
) -> None:
    path = tmp_path / "take.flac"
    sounds = sound(play(plan(), Playing(seed=1, stanzas=1)).notes, Hall(rt_s=1.0))
    soundfile.write(path, np.clip(gain * sounds / np.abs(sounds).max(), -1, 1), 16000)
    report = listen_to(plan(), path)
    assert report.stanzas_found == 1
    assert bool(report.remarks) is clipped
    assert all("clipped" in text and "%" in text for text in report.remarks)


@pytest.mark.parametrize("name", ["take.wav", "take.flac", "take.ogg"])
def test_a_recording_cut_short_is_measured_as_far_as_it_goes_and_said_so(
    tmp_path: Path, name: str
) -> None:
    path = tmp_path / name
    sounds = sound(play(plan(), Playing(seed=1, stanzas=1)).notes, Hall(rt_s=1.0))
    soundfile.write(path, sounds / np.abs(sounds).max(), 16000)
    assert listen_to(plan(), path).remarks == ()
    data = path.read_bytes()
    path.write_bytes(data[: len(data) * 4 // 5])
    report = listen_to(plan(), path)
    assert report.stanzas_found == 1
    assert any("end of the recording is missing" in text for text in report.remarks)


@pytest.mark.parametrize("name", ["take.wav", "take.mp3", "take.mid"])
def test_an_empty_file_is_called_empty(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"")
    with pytest.raises(TakeError, match="empty"):
        listen_to(plan(), tmp_path / name)
