"""Listening to takes: the plan of the hymn, the take from its file, the report."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.render.take_json import take_values
from suspirium.store import read_bytes, write_folder
from suspirium.tables import load
from suspirium.take.history import History
from suspirium.take.lines import planned_tempo
from suspirium.take.listen import listen
from suspirium.take.midi import read_take
from suspirium.take.report import TakeReport

if TYPE_CHECKING:
    from suspirium.take.sound.bands import Floats

MIDI_ENDINGS = (".mid", ".midi")
SOUND_ENDINGS = (".wav", ".flac", ".ogg", ".oga", ".mp3")
TAKE_ENDINGS = MIDI_ENDINGS + SOUND_ENDINGS
_SOUND_BEGINS = (b"RIFF", b"fLaC", b"OggS", b"ID3")
_BLOCK = 1 << 19  # samples read at a time


def take_files(paths: Sequence[Path]) -> Iterator[Path]:
    """The takes among these paths: files as given, folders by the takes inside them."""
    for path in paths:
        if not path.is_dir():
            yield path
            continue
        inside = [p for p in sorted(path.iterdir()) if p.suffix.lower() in TAKE_ENDINGS]
        if not inside:
            raise TakeError(f"the folder {path} holds no takes (.mid, .wav, .flac, .ogg, .mp3)")
        yield from inside


def listen_to(plan: LeadingPlan, path: Path) -> TakeReport:
    """The report on the take at `path`, by what it holds; raises `TakeError` in plain words.

    MIDI files begin with ``MThd`` (Standard MIDI Files 1.0), or with ``RIFF`` and ``RMID``;
    what begins as recordings do is one, whatever its name says, and all else goes by its name.
    """
    begins = _begins(path)
    midi = begins[:4] == b"MThd" or begins[8:12] == b"RMID"
    named_midi = path.suffix.lower() in MIDI_ENDINGS and not begins.startswith(_SOUND_BEGINS)
    if midi or named_midi:
        return listen(plan, read_take(read_bytes(path)))
    from suspirium.take.sound.listen import listen as listen_to_sound

    if not begins:
        raise TakeError("the take is an empty file; record it again")
    sound, remarks = _read_sound(path)
    if _cut_short(begins, path.stat().st_size):
        remarks += ("the end of the recording is missing; what is there is measured",)
    heard = listen_to_sound(plan, sound)
    return replace(heard, remarks=remarks, planned_tempo=planned_tempo(plan))


def _cut_short(begins: bytes, size: int) -> bool:
    """Whether a WAV file is shorter than its head says (RIFF: bytes 4 to 8, what follows them);
    a size of nothing or of all ones was never filled in."""
    said = int.from_bytes(begins[4:8], "little")
    return begins[:4] == b"RIFF" and size < said + 8 and said != 0xFFFFFFFF


def _begins(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(12)
    except OSError:
        read_bytes(path)  # says in words what is wrong
        raise


def _read_sound(path: Path) -> tuple[Floats, tuple[str, ...]]:
    """The recording as mono and what is to be remarked of it; `TakeError` says why it can't
    be read."""
    import soundfile

    from suspirium.take.clipped import Clipping
    from suspirium.take.sound.signal import mono

    longest_s = load("take").number("sound.longest_s")
    try:
        with soundfile.SoundFile(path) as file:
            if file.frames > longest_s * file.samplerate:
                raise TakeError(
                    f"the recording lasts {file.frames / file.samplerate / 60:.0f} minutes; cut it "
                    f"to the hymn (at most {longest_s / 60:.0f} minutes can be heard)"
                )
            blocks = file.blocks(blocksize=_BLOCK, dtype="float32", always_2d=True)
            clipping = Clipping()
            return mono(clipping.through(blocks), file.samplerate), clipping.remarks
    except soundfile.LibsndfileError:
        raise TakeError(
            "this is neither a MIDI file nor a recording that can be read (WAV, FLAC, OGG, MP3), "
            "or it is damaged"
        ) from None


def write_report(
    report: TakeReport, plan: LeadingPlan, take: Path, out: Path, history: History | None = None
) -> Path:
    """Writes the report on the take at `take` into a folder of its own; the page to open."""
    from suspirium.render.take_report import (
        report_html,
        report_pdf,
        report_values,
    )  # plots are slow to load

    folder = out / take.stem
    shown = report_values(report, plan, take.name, history)
    values = json.dumps(take_values(report, str(take), history), ensure_ascii=False, indent=2)
    files = {
        "take.html": report_html(shown),
        "take.pdf": report_pdf(shown),
        "take.json": f"{values}\n".encode(),
    }
    write_folder(folder, files)
    return folder / "take.html"
