"""Takes of the library's hymns: heard, kept with what they showed, looked back on."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from suspirium.desk.finding import Found, found_in
from suspirium.desk.hymnal import library_path, the_library
from suspirium.desk.listening import listen_to
from suspirium.desk.planning import Settings, plan_found
from suspirium.desk.week_asked import asked_from
from suspirium.errors import LibraryError, OutputError
from suspirium.plan.model import LeadingPlan
from suspirium.practice.measured import heard_ready
from suspirium.practice.record import Heard
from suspirium.render.keys_midi import keys_midi
from suspirium.render.screen import coloured, for_screen
from suspirium.render.take_history import figures_of, history_sentences
from suspirium.render.take_json import take_values
from suspirium.store import write_whole
from suspirium.store.hymnal import digest_of, known_digests
from suspirium.store.library import Library
from suspirium.store.practice import asked_of, latest_week, note
from suspirium.store.schema import TakeRow
from suspirium.store.takes import put_away, same_take, take_by_id, takes, throw_away
from suspirium.take.history import Figures, History, history
from suspirium.take.report import TakeReport

Progress = Callable[[str], None]
_OLDER: dict[str, Any] = {  # older takes were kept without these
    "score": [],
    "again": [],
    "remarks": [],
    "tempos": [],
    "columns": [],
    "gaps_even": "",
    "touches": [],
}


def put_down_keys(events: Sequence[Sequence[float]], path: Path) -> None:
    """Writes keys played into a page as a MIDI file; `TakeError` where there are none."""
    write_whole(path, keys_midi(events))


@dataclass(frozen=True, slots=True)
class Listened:
    """A take heard by itself: its plan and report; its number and history in the library,
    None where it is not kept, and if it should have been, why not."""

    plan: LeadingPlan
    report: TakeReport
    number: int | None = None
    history: History | None = None
    not_kept: str = ""


def listen_and_keep(found: Found, plan: LeadingPlan, take: Path, *, keep: bool) -> Listened:
    """Listens to a take; keeps it where the hymn is in the organist's library.

    It counts as made when its file was last written. Raises `TakeError` in plain words; a
    library that can't be used keeps nothing, but the report is there.
    """
    report = listen_to(plan, take)
    if not keep or not library_path().exists():
        return Listened(plan, report)
    try:
        with the_library() as library:
            with library.session() as session:
                if digest_of(found.score) not in known_digests(session):
                    return Listened(plan, report)
            made_at = datetime.fromtimestamp(take.stat().st_mtime)
            number = _kept(library, found, plan, report, take, made_at)
            return Listened(plan, report, number, history_of(library, number))
    except (LibraryError, OutputError) as problem:
        return Listened(plan, report, not_kept=problem.text)


def hear(
    library: Library,
    number: int,
    take: Path,
    settings: Settings,
    now: datetime,
    progress: Progress = lambda step: None,
) -> int:
    """Listens to a take of a hymn and keeps what it showed; its number among the takes.

    If the hymn is in the week under way, its running record learns from the take, too.
    `progress` is told each step before it begins, the last one before anything is kept.
    """
    progress("planning")
    found = found_in(library, number)
    plan = plan_found(found, settings)
    progress("listening")
    report = listen_to(plan, take)
    return _kept(library, found, plan, report, take, now, progress)


def _kept(
    library: Library,
    found: Found,
    plan: LeadingPlan,
    report: TakeReport,
    take: Path,
    made_at: datetime,
    progress: Progress = lambda step: None,
) -> int:
    """Puts a take into the library, its file by its content; the same take again takes the
    place of what it showed before."""
    from suspirium.render.take_report import report_pdf, report_values  # plots are slow to load

    progress("drawing")
    values = report_values(report, plan, take.name)
    pdf = report_pdf(values)
    values |= {name: coloured(values[name]) for name in ("pulse", "lifts", "gaps")}
    values["score"] = [for_screen(system["svg"]) for system in values["score"]]
    progress("keeping")
    kept_as = put_away(library.path, take)
    digest = digest_of(found.score)
    with library.session() as session:
        row = same_take(session, digest, kept_as)
        known = row is not None
        if row is None:
            row = TakeRow(digest=digest, made_at=made_at, name=take.name, kept_as=kept_as)
            session.add(row)
        row.title = plan.hymn.title or found.path.stem
        row.report = json.dumps(take_values(report, take.name), ensure_ascii=False)
        row.shown = json.dumps(values, ensure_ascii=False)
        row.pdf = pdf
        if not known:
            _into_record(session, row, report, made_at)
        session.flush()
        return row.id


def history_of(library: Library, number: int) -> History:
    """The take of this number among those of its hymn that were made before it."""
    with library.session() as session:
        row = take_by_id(session, number)
        earlier = [_figures(one) for one in takes(session, row.digest) if one.id != row.id]
        return history(earlier, _figures(row))


def _figures(row: TakeRow) -> Figures:
    return figures_of(json.loads(row.report), row.made_at, row.name)


def _into_record(session: Session, row: TakeRow, report: TakeReport, now: datetime) -> None:
    week = latest_week(session, now.date())
    if week is None or week.service_on < now.date():
        return
    if report.voices_left_out:  # a part alone doesn't tell how ready the whole is
        return
    for each in asked_from(asked_of(week)).hymns:
        if each.named.digest == row.digest:
            stretches = heard_ready(report, each.passages, each.named.quarter_bpm)
            event = Heard(now.toordinal(), stretches)
            note(session, row.digest, row.title, event, row.name)


def list_takes(library: Library, number: int | None = None) -> list[dict[str, Any]]:
    """The takes of a hymn, or all, the newest first: when, of what, and the first advice."""
    digest = None if number is None else digest_of(found_in(library, number).score)
    with library.session() as session:
        return [_listed(row) for row in takes(session, digest)]


def _listed(row: TakeRow) -> dict[str, Any]:
    report = json.loads(row.report)
    return {
        "number": row.id,
        "title": row.title,
        "made_at": row.made_at,
        "name": row.name,
        "advice": report["advice"],
        "tempos": [tempo["quarter_bpm"] for tempo in report["tempo"]["stanzas"]],
    }


def show_take(library: Library, number: int) -> dict[str, Any]:
    """All that a take's page shows; `LibraryError` if there is none of this number."""
    since = list(history_sentences(history_of(library, number)))
    with library.session() as session:
        row = take_by_id(session, number)
        shown = {**_OLDER, **json.loads(row.shown), "since": since}
        return {"number": row.id, "made_at": row.made_at, **shown}


def take_pdf(library: Library, number: int) -> bytes:
    """The report of a take on paper."""
    with library.session() as session:
        return take_by_id(session, number).pdf


def remove_take(library: Library, number: int) -> None:
    """Takes a take out of the library; the running record stays."""
    with library.session() as session:
        row = take_by_id(session, number)
        kept_as = row.kept_as
        session.delete(row)
        throw_away(session, library.path, kept_as)
