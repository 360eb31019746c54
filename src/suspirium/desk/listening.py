"""Listening to takes: the plan of the hymn, the take from its file, the report."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

from suspirium.errors import TakeError
from suspirium.plan.model import LeadingPlan
from suspirium.render.take_json import take_values
from suspirium.store import read_bytes, write_folder
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


def write_report(report: TakeReport, take: Path, out: Path) -> Path:
    """Writes the report on the take at `take` into a folder of its own; the page to open."""
    from suspirium.render.take_report import report_html, report_pdf  # plots are slow to load

    folder = out / take.stem
    name = take.name
    values = json.dumps(take_values(report, str(take)), ensure_ascii=False, indent=2)
    files = {
        "take.html": report_html(report, name),
        "take.pdf": report_pdf(report, name),
        "take.json": f"{values}\n".encode(),
    }
    write_folder(folder, files)
    return folder / "take.html"
