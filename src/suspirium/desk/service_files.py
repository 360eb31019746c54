"""The files of a service: its sheets, and for every hymn its page, plan and recording."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from suspirium.desk.fingering import FingerSettings, technique_with
from suspirium.desk.serving import read_order_file, the_service
from suspirium.desk.working import workers
from suspirium.plan.overrides import Overrides
from suspirium.render.bench_sheet import bench_pdf
from suspirium.render.choir_sheet import choir_pdf
from suspirium.render.fingering import fingering
from suspirium.render.midi import write_midi
from suspirium.render.order_ics import order_ics
from suspirium.render.order_json import service_values
from suspirium.render.page import marked_score
from suspirium.render.plan_json import plan_values
from suspirium.render.service_text import service_text
from suspirium.render.sound import Drawn, SoundFormat, as_usual, record
from suspirium.render.stops import drawn_stops
from suspirium.render.technique_json import technique_values
from suspirium.service.organ import Organ
from suspirium.service.served import Served
from suspirium.service.whole import Service
from suspirium.store import write_folder

Progress = Callable[[str], None]
Files = dict[str, bytes]


def service_sheets(service: Service) -> Files:
    """Bench sheet, choir sheet, text, JSON and, where the day is known, the calendar file."""
    files = {
        "bench.pdf": bench_pdf(service),
        "choir.pdf": choir_pdf(service),
        "service.txt": service_text(service).encode(),
        "service.json": _json(service_values(service)),
    }
    if service.order.on:
        files["service.ics"] = order_ics(service, datetime.now(UTC).replace(microsecond=0))
    return files


def hymn_sound(
    served: Served, organ: Organ | None, forms: Sequence[SoundFormat], ticks: bool
) -> Files:
    """The recording of a hymn as it is played in the service, on its stops, and as MIDI."""
    drawn: Drawn = as_usual
    if organ is not None and served.rows:
        rows = {row.stanza: row.registration for row in served.rows}
        drawn = drawn_stops(organ, rows, served.plan.hymn.melody.name)
    performance = served.played.performance
    sounds = record(performance, served.plan.room, forms, ticks=ticks, drawn=drawn)
    midi = write_midi(served.plan, performance, stanzas=served.stanzas)
    return {"leading.mid": midi} | {f"leading.{form}": data for form, data in sounds.items()}


def hymn_pages(
    served: Served, organ: Organ | None, overrides: Overrides, fingers: FingerSettings
) -> Files:
    """The marked score with hands and feet, the plan and the technique as JSON; on an organ
    without pedal the hands play all."""
    plan, source = served.plan, served.moment.hymn
    playing = fingers.playing
    if organ is not None and organ.pedal is None and playing.arrangement == "pedal":
        playing = replace(playing, arrangement="manuals")
    technique = technique_with(overrides, plan, playing)
    marked = marked_score(plan, fingering(plan, technique, fingers.show))
    return {
        "marked.pdf": marked.pdf,
        "plan.json": _json(plan_values(plan, source)),
        "technique.json": _json(technique_values(plan, technique, source)),
    }


def steps_of(path: Path, *, sheets: bool, pages: bool, sound: bool) -> int:
    """How many steps `prepare_service` will tell."""
    return 1 + sheets + len(read_order_file(path).hymns) * (pages + sound)


def prepare_service(
    path: Path,
    folder: Path,
    *,
    sheets: bool = True,
    pages: bool = True,
    forms: Sequence[SoundFormat] = ("flac",),
    ticks: bool = False,
    fingers: FingerSettings = FingerSettings(),  # noqa: B008 (frozen)
    progress: Progress = lambda step: None,
) -> tuple[str, ...]:
    """Writes what is asked of a service into `folder`, replacing an earlier run; the names.

    Hymns are made ready side by side. Raises `SuspiriumError` in plain words; then nothing
    in `folder` has changed.
    """
    progress("reading and planning")
    made, overrides = the_service(path)
    files: Files = {}
    with workers() as hands:
        jobs: list[tuple[str, str, Future[Files]]] = []
        for number, (served, own) in enumerate(zip(made.served, overrides, strict=True), 1):
            if forms:
                job = hands.submit(hymn_sound, served, made.organ, forms, ticks)
                jobs.append((f"hymn-{number}", f"playing {served.title}", job))
            if pages:
                job = hands.submit(hymn_pages, served, made.organ, own, fingers)
                jobs.append((f"hymn-{number}", f"engraving {served.title}", job))
        if sheets:
            progress("setting the sheets")
            files |= service_sheets(made)
        for stem, what, job in jobs:
            progress(what)
            files |= {f"{stem}-{name}": data for name, data in job.result().items()}
    write_folder(folder, files)
    return tuple(files)


def _json(values: object) -> bytes:
    return (json.dumps(values, ensure_ascii=False, indent=2) + "\n").encode()
