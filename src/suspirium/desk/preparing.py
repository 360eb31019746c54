"""Preparing a hymn: marked score, plan and recording, all files or none."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from suspirium.desk.fingering import FingerSettings, technique_for
from suspirium.desk.planning import Settings, plan_file
from suspirium.desk.working import workers
from suspirium.errors import OutputError
from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import perform
from suspirium.render.fingering import fingering
from suspirium.render.midi import write_midi
from suspirium.render.page import marked_score
from suspirium.render.parts import part_sheets
from suspirium.render.plan_json import plan_values
from suspirium.render.plan_text import plan_text
from suspirium.render.sound import Drawn, SoundFormat, as_usual, record
from suspirium.render.stops import drawn_stops
from suspirium.render.stops_text import stops_text
from suspirium.render.technique_json import technique_values
from suspirium.render.words_sheet import words_pdf, words_text
from suspirium.service.organ import Organ
from suspirium.service.registration import propose_registration
from suspirium.service.registration.propose import ServiceSetting
from suspirium.store import write_folder

VOICES = ("soprano", "alto", "tenor", "bass")
SOUND_FORMATS: tuple[SoundFormat, ...] = ("flac", "ogg", "wav")

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class RecordingSettings:
    """How the recording is made: forms, pulse ticks, tempo, voices (empty means all), and the
    organ whose stops are drawn for each stanza; the practice organ if there is none."""

    forms: tuple[SoundFormat, ...] = ("flac",)
    ticks: bool = False
    quarter_bpm: float | None = None
    voices: tuple[str, ...] = ()
    organ: Organ | None = None


def recording_settings(
    forms: Sequence[str],
    ticks: bool,
    quarter_bpm: float | None,
    voices: Sequence[str],
    organ: Organ | None = None,
) -> RecordingSettings:
    """Checked settings; `OutputError` where a form or voice is not known."""
    for form in forms:
        if form not in SOUND_FORMATS:
            raise OutputError(f"sound can be written as flac, ogg or wav, not as {form!r}")
    for voice in voices:
        if voice not in VOICES:
            raise OutputError(f"the voices are {', '.join(VOICES)}, not {voice!r}")
    chosen = tuple(form for form in SOUND_FORMATS if form in forms)
    return RecordingSettings(chosen, ticks, quarter_bpm, tuple(voices), organ)


@dataclass(frozen=True, slots=True)
class PreparedHymn:
    """What was written for one hymn."""

    plan: LeadingPlan
    folder: Path
    files: tuple[str, ...]


def prepare(
    score: Path,
    folder: Path,
    settings: Settings = Settings(),  # noqa: B008 (frozen)
    recording: RecordingSettings = RecordingSettings(),
    progress: Progress = lambda step: None,
    fingers: FingerSettings = FingerSettings(),  # noqa: B008 (frozen)
) -> PreparedHymn:
    """Writes everything for the hymn at `score` into `folder`, replacing an earlier run.

    `progress` is told each step before it begins. Raises `SuspiriumError` in plain words;
    then nothing in `folder` has changed.
    """
    with workers(1) as player:  # plays while the pages are engraved
        player.submit(_make_ready)
        progress("reading and planning")
        plan = plan_file(score, settings)
        sounding = player.submit(_recording, plan, recording)
        files = _pages(plan, score, fingers, progress)
        progress("playing")
        files |= sounding.result()
    write_folder(folder, files)
    return PreparedHymn(plan, folder, tuple(files))


def _pages(
    plan: LeadingPlan, score: Path, fingers: FingerSettings, progress: Progress
) -> dict[str, bytes]:
    """Everything to read: marked score, plan, words, technique, part sheets."""
    progress("finding hands and feet")
    technique = technique_for(score, plan, fingers.playing)
    progress("engraving")
    marked = marked_score(plan, fingering(plan, technique, fingers.show))
    files: dict[str, bytes] = {"marked.pdf": marked.pdf}
    for number, page in enumerate(marked.svg_pages, 1):
        files["marked.svg" if len(marked.svg_pages) == 1 else f"marked-{number}.svg"] = page
    values = plan_values(plan, str(score))
    files["plan.json"] = (json.dumps(values, ensure_ascii=False, indent=2) + "\n").encode()
    files["plan.txt"] = plan_text(plan).encode()
    if sheet := words_pdf(plan):
        files["words.pdf"] = sheet
        files["words.txt"] = words_text(plan).encode()
    values = technique_values(plan, technique, str(score))
    files["technique.json"] = (json.dumps(values, ensure_ascii=False, indent=2) + "\n").encode()
    if fingers.parts:
        progress("engraving the parts")
        files["parts.pdf"] = part_sheets(plan, technique)
    return files


def _make_ready() -> None:
    """Loads what playing needs while the score is read."""
    import soundfile  # noqa: F401


def _recording(plan: LeadingPlan, recording: RecordingSettings) -> dict[str, bytes]:
    performance = perform(plan, voices=recording.voices or None, quarter_bpm=recording.quarter_bpm)
    files = {"leading.mid": write_midi(plan, performance)}
    drawn: Drawn = as_usual
    if recording.organ is not None:
        rows = propose_registration(plan, recording.organ, ServiceSetting(introduction=False))
        by_stanza = {row.stanza: row.registration for row in rows}
        drawn = drawn_stops(recording.organ, by_stanza, plan.hymn.melody.name)
        files["stops.txt"] = stops_text(plan, recording.organ, rows).encode()
    sounds = record(performance, plan.room, recording.forms, ticks=recording.ticks, drawn=drawn)
    return files | {f"leading.{form}": data for form, data in sounds.items()}
