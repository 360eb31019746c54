"""`suspirium week` from Monday to the service and after, through the command line."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import icalendar
import jsonschema
import pypdfium2
import pytest
import soundfile
from typer.testing import CliRunner

from suspirium.cli.app import app
from suspirium.errors import SuspiriumError
from suspirium.plan.performance import perform
from suspirium.render.midi import write_midi
from suspirium.store.files import write_whole
from tests.conftest import PARISH, ROOT

OSMERLEY, NETHERWICK = PARISH / "osmerley.abc", PARISH / "netherwick.abc"
PLAN = (
    "plan", str(OSMERLEY), str(NETHERWICK), "--service", "2026-12-06", "--minutes",
    "mon=20,tue=12,thu=16,sat=8", "--known", "netherwick=known",
)  # fmt: skip


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "hymnal.sqlite"
    monkeypatch.setenv("SUSPIRIUM_LIBRARY", str(path))
    return path


def run(*arguments: str, on: str = "2026-11-30") -> str:
    done = CliRunner().invoke(app, ["week", *arguments, "--on", on])
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == 0, done.output
    return done.stdout


def values(*arguments: str, on: str = "2026-11-30") -> dict[str, Any]:
    found: dict[str, Any] = json.loads(run(*arguments, "--json", on=on))
    return found


def valid(week: dict[str, Any]) -> dict[str, Any]:
    schema = json.loads((ROOT / "docs" / "week.schema.json").read_text("utf-8"))
    jsonschema.validate(week, schema)
    return week


def test_a_week_from_monday_to_the_service(library: Path, tmp_path: Path) -> None:
    week = valid(values(*PLAN))
    assert [day["date"] for day in week["days"]] == [
        "2026-11-30", "2026-12-01", "2026-12-03", "2026-12-05",
    ]  # fmt: skip
    assert all(day["used"] <= day["minutes"] for day in week["days"])
    assert [hymn["new"] for hymn in week["hymns"]] == [True, False]
    first = week["today"]
    assert run("done", "1", "2") == "Done: 1, 2.\n"
    again = valid(values("show"))
    assert [one["done"] for one in again["today"]] == [True, True] + [False] * (len(first) - 2)
    assert [one["part"] for one in again["today"]] == [one["part"] for one in first]
    record = values("show", "osmerley")
    assert len([line for line in record["lines"] if line["kind"] == "done"]) >= 1
    missed = valid(values("show", on="2026-12-03"))
    assert [day["date"] for day in missed["days"]] == ["2026-12-03", "2026-12-05"]
    assert missed["ready"] < week["ready"]
    run("done", "--sung", "osmerley=well", "--sung", "netherwick=badly", on="2026-12-06")
    after = values("show", "osmerley", on="2026-12-07")
    assert after["last_played"] == "2026-12-06"
    assert after["ready"] > record["ready"]
    with pytest.raises(SuspiriumError, match="is over"):
        run("today", on="2026-12-07")


def test_a_take_moves_the_plan(library: Path, tmp_path: Path) -> None:
    from suspirium.desk.planning import plan_file

    week = values(*PLAN)
    plan = plan_file(NETHERWICK)
    good = perform(plan)
    slips = (replace(k, midi=k.midi + 1) if n % 4 == 0 else k for n, k in enumerate(good.keys))
    take = tmp_path / "take.mid"
    write_whole(take, write_midi(plan, replace(good, keys=tuple(slips))))
    told = values("done", "--take", str(take), "--hymn", "netherwick")
    assert max(ready for _, _, ready in told["take"]) < 0.5
    moved = values("show", on="2026-12-01")
    assert moved["hymns"][1]["ready_now"] < week["hymns"][1]["ready_now"]
    assert moved["pace"] < 1


def test_everything_to_print_and_to_hear(library: Path, tmp_path: Path) -> None:
    out, today = tmp_path / "week", tmp_path / "today"
    week = values(*PLAN, "--out", str(out), "--at", "19:30")
    text = "".join(
        page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(out / "week.pdf")
    )
    assert "hurts" in text
    assert "doctor" in text
    events = icalendar.Calendar.from_ical((out / "week.ics").read_bytes()).walk("VEVENT")
    assert len(events) == len(week["days"]) + 1  # and the service
    for event, day in zip(events, week["days"], strict=False):
        lasts = event.decoded("dtend") - event.decoded("dtstart")
        assert lasts.total_seconds() == 60 * day["used"]
    shown = values("today", "--out", str(today), "--alone")
    assert shown["files"] == [
        f"task-{one['number']:02}.{kind}" for one in week["today"] for kind in ("pdf", "ogg")
    ]
    for one in week["today"]:
        stem = today / f"task-{one['number']:02}"
        assert len(pypdfium2.PdfDocument(stem.with_suffix(".pdf"))) == 1
        assert soundfile.info(stem.with_suffix(".ogg")).duration > 5


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("today",), "no week is planned"),
        (("plan", str(OSMERLEY), "--service", "soon", "--minutes", "20"), "no day"),
        (("plan", str(OSMERLEY), "--service", "2026-11-01", "--minutes", "20"), "must be after"),
        (("plan", str(OSMERLEY), "--service", "2026-12-06", "--minutes", "x"), "no number"),
        (
            ("plan", str(OSMERLEY), "--service", "2026-12-06", "--minutes", "9", "--known", "a=b"),
            "means none",
        ),
        (
            ("plan", str(OSMERLEY), "--service", "2026-12-06", "--minutes", "9", "--known", "1=b"),
            "new, seen, known, secure",
        ),
        (
            ("plan", str(OSMERLEY), "--service", "2026-12-06", "--minutes", "9", "--play", "1=b"),
            "tune and bass",
        ),
    ],
)
def test_what_cant_be_done_is_said_in_a_sentence(
    library: Path, arguments: tuple[str, ...], said: str
) -> None:
    with pytest.raises(SuspiriumError, match=said):
        run(*arguments)


def test_a_hymn_can_be_played_more_simply(library: Path) -> None:
    arguments = ("plan", str(OSMERLEY), "--service", "2026-12-03", "--minutes", "8,4,4")
    hard = values(*arguments)
    assert hard["simpler"]
    easy = valid(values(*arguments, "--play", "1=tune and bass"))
    told = [one["ready"] for one in hard["simpler"] if one["what"] == "tune and bass"]
    assert easy["ready"] > hard["ready"]
    assert told == pytest.approx([easy["ready"]], abs=0.03)


def test_what_nobody_measured_can_be_moved(library: Path) -> None:
    from suspirium.practice.settings import sliders

    usual = valid(values(*PLAN))
    name, value = "hands", sliders()["hands"] / 2
    own = valid(values(*PLAN, "--slide", f"{name}={value}"))
    assert own["model"][name] == value
    assert own["ready"] < usual["ready"]  # parts help the whole less
    assert values("show")["model"][name] == value  # it stays
    for slide, said in (
        ("settled_days=90", "can't be moved"),
        (f"{name}=999999", "goes from"),
        (f"{name}=a", "a number"),
    ):
        with pytest.raises(SuspiriumError, match=said):
            values(*PLAN, "--slide", slide)
