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
from suspirium.service.introductions import propose_introductions
from suspirium.store import read_bytes, write_folder
from suspirium.tables import load
from suspirium.take.cut_short import TAIL_BYTES, cut_short
from suspirium.take.history import History
from suspirium.take.lines import planned_tempo
from suspirium.take.listen import listen
from suspirium.take.midi import read_take
from suspirium.take.report import TakeReport
from suspirium.take.structure import Stretch

if TYPE_CHECKING:
    from suspirium.take.sound.bands import Floats

MIDI_ENDINGS = (".mid", ".midi")
SOUND_ENDINGS = (".wav", ".flac", ".ogg", ".oga", ".mp3")
TAKE_ENDINGS = MIDI_ENDINGS + SOUND_ENDINGS
_SOUND_BEGINS = (b"RIFF", b"fLaC", b"OggS", b"ID3")
_BLOCK = 1 << 16  # samples read at a time; of a damaged file so many may be lost
_END_MISSING = (
    "the end of the recording is missing: its file was cut short in recording or in copying; "
    "what is there is measured"
)


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
        return listen(plan, read_take(read_bytes(path)), _introduction(plan))
    from suspirium.take.sound.listen import listen as listen_to_sound

    if not begins:
        raise TakeError("the take is an empty file; record it again")
    sound, remarks = _read_sound(path)
    heard = listen_to_sound(plan, sound, _introduction(plan))
    return replace(heard, remarks=(*remarks, *heard.remarks), planned_tempo=planned_tempo(plan))


def _introduction(plan: LeadingPlan) -> list[Stretch]:
    """The stretches of the score that the first proposed introduction plays."""
    first = next(iter(propose_introductions(plan)), None)
    return [(piece.first_onset_q, piece.last_onset_q) for piece in first.pieces] if first else []


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
            clipping, broken = Clipping(), list[str]()
            through = clipping.through(_until_broken(blocks, broken))
            sound = mono(through, file.samplerate, file.frames)
            missing = (_END_MISSING,) if broken or _ends_early(path) else ()
            return sound, (*clipping.remarks, *missing)
    except soundfile.LibsndfileError:
        raise TakeError(
            "this is neither a MIDI file nor a recording that can be read (WAV, FLAC, OGG, MP3), "
            "or it is damaged"
        ) from None


def _until_broken(blocks: Iterator[Floats], broken: list[str]) -> Iterator[Floats]:
    """Blocks of sound up to where the file can be read no further, which `broken` then says;
    `soundfile.LibsndfileError` where not even the first can."""
    import soundfile

    read = 0
    while True:
        try:
            block = next(blocks, None)
        except soundfile.LibsndfileError as problem:
            if not read:
                raise
            broken.append(str(problem))
            return
        if block is None:
            return
        read += 1
        yield block


def _ends_early(path: Path) -> bool:
    """Whether the file's end is missing, as its container tells."""
    size = path.stat().st_size
    with path.open("rb") as file:
        head = file.read(TAIL_BYTES)
        file.seek(max(0, size - TAIL_BYTES))
        return cut_short(head, file.read(), size)


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
