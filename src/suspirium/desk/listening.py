"""Listening to takes: the plan of the hymn, the take from its file, the report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.store import read_bytes
from suspirium.take.listen import listen
from suspirium.take.midi import read_take
from suspirium.take.report import TakeReport

MIDI_ENDINGS = (".mid", ".midi")


def take_files(paths: Sequence[Path]) -> Iterator[Path]:
    """The takes among these paths: files as given, folders by the takes inside them."""
    for path in paths:
        if not path.is_dir():
            yield path
            continue
        inside = [p for p in sorted(path.iterdir()) if p.suffix.lower() in MIDI_ENDINGS]
        if not inside:
            raise TakeError(f"the folder {path} holds no takes (.mid)")
        yield from inside


def listen_to(plan: LeadingPlan, path: Path) -> TakeReport:
    """The report on the take at `path`; raises `TakeError` in plain words."""
    return listen(plan, read_take(read_bytes(path)))
