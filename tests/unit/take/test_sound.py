"""Recordings of an invented organ in an invented hall, whose every onset is known."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import isfinite
from pathlib import Path
from statistics import median

import numpy as np
import pytest
import soundfile
from scipy.signal import resample_poly

from suspirium.desk.listening import listen_to
from suspirium.desk.planning import plan_file
from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import perform
from suspirium.render.midi import write_midi
from suspirium.take.midi import read_take
from suspirium.take.sound.bands import RATE, band_energies, reverberation, tuning
from suspirium.take.sound.listen import listen
from suspirium.take.sound.signal import mono
from tests.conftest import PARISH
from tests.playing import Played, Playing, play
from tests.sounding import Hall, dry_sound, in_hall, sound


@cache
def plan_of(name: str) -> LeadingPlan:
    """The hymn with all voices lifting at every line end: what a room lets be heard."""
    plan = plan_file(PARISH / f"{name}.abc")
    phrases = tuple(
        replace(phrase, breaths=tuple(replace(breath, kind="full") for breath in phrase.breaths))
        for phrase in plan.phrases
    )
    return replace(plan, phrases=phrases)


@cache
def take_of(name: str, rt_s: float, transposed: int = 0) -> tuple[Played, np.ndarray]:
    how = Playing(seed=3, added={(0, 1): 1.0}, stanzas=2, speed=0.95, transposed=transposed)
    played = play(plan_of(name), how)
    return played, sound(played.notes, Hall(rt_s=rt_s, seed=1)).astype(np.float32)


@pytest.mark.parametrize(("name", "rt_s"), [("fallowmere", 0.5), ("quillerby", 2.0)])
def test_what_was_played_is_heard(name: str, rt_s: float) -> None:
    played, heard = take_of(name, rt_s)
    report = listen(plan_of(name), heard)
    assert report.stanzas_found == 2
    assert not report.introduction_found
    for end in report.line_ends:
        true_q = played.ends[end.stanza - 1, end.phrase - 1].added_q
        assert end.added_q == pytest.approx(true_q, abs=0.25), end
    errors = [
        abs(end.hold_s - played.ends[end.stanza - 1, end.phrase - 1].hold_s)
        for end in report.line_ends
        if isfinite(end.hold_s)
    ]
    assert len(errors) >= 0.8 * len(report.line_ends)
    assert median(errors) < 0.02
    assert report.gaps[0].onset_to_onset_s == pytest.approx(played.gaps[0][0], abs=0.05)
    assert report.matched is None
    assert any("notes" in text for text in report.not_measured)


def test_a_transposed_recording_is_heard_as_such() -> None:
    _, heard = take_of("netherwick", 1.0, -2)
    report = listen(plan_of("netherwick"), heard)
    assert report.transposed_semitones == -2
    assert report.stanzas_found == 2


def test_another_hymn_and_noise_are_refused() -> None:
    _, heard = take_of("fallowmere", 0.5)
    with pytest.raises(TakeError, match="is not"):
        listen(plan_of("osmerley"), heard)
    noise = np.random.default_rng(0).standard_normal(20 * RATE).astype(np.float32)
    with pytest.raises(TakeError):
        listen(plan_of("osmerley"), noise)
    with pytest.raises(TakeError, match="silent"):
        listen(plan_of("osmerley"), np.zeros(20 * RATE, dtype=np.float32))


def test_tuning_and_reverberation_are_those_of_the_hall() -> None:
    _, heard = take_of("quillerby", 2.0)
    assert tuning(heard) == pytest.approx(0, abs=4)
    stretched = resample_poly(heard, 100, 102).astype(np.float32)  # 34 cents higher
    assert tuning(stretched) == pytest.approx(1200 * np.log2(1.02), abs=4)
    assert reverberation(band_energies(heard)) == pytest.approx(2.0, rel=0.2)


@pytest.mark.parametrize("rate", [8000, 22050, 44100, 96000])
def test_any_rate_becomes_the_same_sound(rate: int) -> None:
    time_s = np.arange(3 * rate) / rate
    tone = np.sin(2 * np.pi * 440 * time_s).astype(np.float32)
    blocks = np.split(np.stack([tone, tone], axis=1), [1000, 1234, rate, 2 * rate + 77])
    back = mono(blocks, rate)
    assert len(back) == pytest.approx(3 * RATE, abs=2)
    expected = np.sin(2 * np.pi * 440 * np.arange(len(back)) / RATE)
    inside = slice(RATE // 4, -RATE // 4)
    assert np.abs(back - expected)[inside].max() < 0.01


def test_files_in_any_form_are_read_and_bad_ones_said(tmp_path: Path) -> None:
    _, heard = take_of("quillerby", 2.0)
    for name in ("take.wav", "take.ogg", "take.mp3"):
        soundfile.write(tmp_path / name, heard, RATE)
        assert listen_to(plan_of("quillerby"), tmp_path / name).stanzas_found == 2
    (tmp_path / "cut.flac").write_bytes(b"fLaC and no more")
    with pytest.raises(TakeError, match="damaged"):
        listen_to(plan_of("quillerby"), tmp_path / "cut.flac")
    soundfile.write(tmp_path / "empty.wav", np.zeros(0), RATE)
    with pytest.raises(TakeError):
        listen_to(plan_of("quillerby"), tmp_path / "empty.wav")


def test_silence_before_the_first_chord_is_no_part_of_the_hymn() -> None:
    _, heard = take_of("fallowmere", 0.5)
    waiting = np.concatenate([np.zeros(3 * RATE, dtype=np.float32), heard])
    report = listen(plan_of("fallowmere"), waiting)
    assert report.stanzas_found == 2
    assert not report.introduction_found
    planned = plan_of("fallowmere").tempo.value.quarter_bpm
    for tempo in report.tempos:
        assert tempo.quarter_bpm == pytest.approx(0.95 * planned, rel=0.02)
        assert abs(tempo.drift_percent) < 5


def test_the_melody_lifts_alone_and_the_others_stay() -> None:
    """A partial lift: the others are let go later, or move on, and that is not the melody."""
    plan = plan_file(PARISH / "quillerby.abc")
    assert any(p.breath(n) == "part" for p in plan.phrases for n in plan.stanza_numbers)
    played = play(plan, Playing(seed=4, stanzas=2))
    report = listen(plan, sound(played.notes, Hall(rt_s=1.5, seed=2)).astype(np.float32))
    errors = [
        abs(end.hold_s - played.ends[end.stanza - 1, end.phrase - 1].hold_s)
        for end in report.line_ends
        if isfinite(end.hold_s)
    ]
    assert len(errors) >= len(report.line_ends) / 2
    assert median(errors) <= 0.03
    assert max(errors) <= 0.15


def test_in_a_church_as_reckoned_by_pyroomacoustics() -> None:
    """Image sources and rays in a room of 24 by 12 by 9 m (pyroomacoustics, MIT licence): the
    beat added is found there, and no other."""
    rooms = pytest.importorskip("tests.rooms")
    pytest.importorskip("pyroomacoustics")
    plan = plan_of("fallowmere")
    played = play(plan, Playing(seed=6, added={(0, 1): 1.0}, stanzas=2))
    hall = Hall(wind=3.0, chiff=0.3, seed=5)
    room = rooms.response(rooms.Church((24.0, 12.0, 9.0), 0.25, 5.0))
    heard = in_hall(dry_sound(played.notes, hall, RATE, 1.0), hall, RATE, room)
    report = listen(plan, heard.astype(np.float32))
    assert report.stanzas_found == 2
    added = {(end.stanza, end.phrase) for end in report.line_ends if abs(end.added_q) >= 0.5}
    assert added == {(1, 2)}


def test_the_hymn_is_found_among_other_music() -> None:
    """A recording of a service: another hymn, this one, another one again."""
    pieces = [take_of(name, 0.5)[1] for name in ("netherwick", "fallowmere", "quillerby")]
    before_s = len(pieces[0]) / RATE
    report = listen(plan_of("fallowmere"), np.concatenate(pieces))
    assert report.stanzas_found == 2
    assert not report.introduction_found
    alone = listen(plan_of("fallowmere"), pieces[1])
    ours = [(end.stanza, end.phrase) for end in report.line_ends]
    assert ours == [(end.stanza, end.phrase) for end in alone.line_ends]
    assert before_s > 20


@pytest.mark.parametrize("voices", [("soprano",), ("soprano", "alto"), ("tenor", "bass")])
def test_a_hand_alone_is_followed(voices: tuple[str, ...]) -> None:
    plan = plan_of("fallowmere")
    notes = read_take(write_midi(plan, perform(plan, voices=voices))).notes
    report = listen(plan, sound(list(notes), Hall(rt_s=0.5, seed=1)).astype(np.float32))
    assert report.stanzas_found == len(plan.stanza_numbers)
    assert all(abs(end.added_q) < 0.25 for end in report.line_ends)


def test_a_broadening_that_is_planned_is_no_drift_and_no_beat_added_in_a_recording_either() -> None:
    plan = plan_of("fallowmere")
    ending = replace(plan.ending, value=replace(plan.ending.value, broaden=0.1))
    broad = replace(plan, ending=ending)
    heard = sound(play(broad, Playing(seed=1)).notes, Hall(rt_s=0.5, seed=1)).astype(np.float32)
    report = listen(broad, heard)
    assert report.stanzas_found == len(plan.stanza_numbers)
    assert all(abs(tempo.drift_percent) < 3 for tempo in report.tempos)
    assert all(abs(end.added_q) < 0.25 for end in report.line_ends if isfinite(end.added_q))
    assert listen(plan, heard).tempos[-1].drift_percent < report.tempos[-1].drift_percent - 2
