"""Takes kept in the library, and what they show over time."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import jsonschema
import pytest
from typer.testing import CliRunner

from suspirium.cli.app import app
from suspirium.desk.hymnal import VARIABLE, add_scores
from suspirium.desk.planning import plan_file
from suspirium.desk.takes import history_of, list_takes, remove_take
from suspirium.store.library import open_library
from suspirium.store.takes import takes_folder
from tests.conftest import PARISH, ROOT
from tests.playing import Playing, as_midi, play

SCORE = PARISH / "fallowmere.abc"
SCHEMA = json.loads((ROOT / "docs" / "take.schema.json").read_text("utf-8"))


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "hymnal.sqlite"
    monkeypatch.setenv(VARIABLE, str(path))
    with open_library(path) as library:
        add_scores(library, [SCORE])
    return path


def take(folder: Path, name: str, days_ago: float, how: Playing) -> Path:
    """A take as a file that was last written some days ago."""
    path = folder / name
    path.write_bytes(as_midi(play(plan_file(SCORE), how).notes))
    made = (datetime.now() - timedelta(days=days_ago)).timestamp()
    os.utime(path, (made, made))
    return path


def listen(*arguments: str) -> list[dict[str, object]]:
    done = CliRunner().invoke(app, ["listen", *arguments, "--hymn", str(SCORE), "--json"])
    assert done.exit_code == 0, done.output
    return [json.loads(line) for line in done.stdout.splitlines()]


UNEVEN = Playing(seed=1, gap_added_s={0: 0.5, 1: -0.4}, added={(0, 1): 1.0}, chord_jitter_s=0.02)
EVEN = Playing(seed=2)


def test_a_folder_of_takes_is_kept_and_looked_back_on(library: Path, tmp_path: Path) -> None:
    folder = tmp_path / "takes"
    folder.mkdir()
    take(folder, "a.mid", 8, UNEVEN)
    take(folder, "b.mid", 0, EVEN)
    first, second = listen(str(folder))
    for values in (first, second):
        jsonschema.validate(values, SCHEMA)
    assert first["history"]["against"] is None  # type: ignore[index]
    verdicts = {c["kind"]: c["verdict"] for c in second["history"]["changes"]}  # type: ignore[index]
    assert verdicts["gap"] == verdicts["added"] == "better"
    assert any("gaps are steadier" in s for s in second["history"]["sentences"])  # type: ignore[index]
    with open_library(library) as opened:
        assert [one["name"] for one in list_takes(opened)] == ["b.mid", "a.mid"]
    kept = sorted(path.read_bytes() for path in takes_folder(library).iterdir())
    assert kept == sorted(path.read_bytes() for path in folder.iterdir())


def test_the_same_take_again_is_one_take(library: Path, tmp_path: Path) -> None:
    path = take(tmp_path, "a.mid", 1, EVEN)
    listen(str(path))
    path.rename(tmp_path / "again.mid")
    listen(str(tmp_path / "again.mid"))
    with open_library(library) as opened:
        assert len(list_takes(opened)) == 1
    assert len(list(takes_folder(library).iterdir())) == 1


def test_a_take_that_is_removed_is_gone_with_its_file(library: Path, tmp_path: Path) -> None:
    listen(str(take(tmp_path, "a.mid", 1, EVEN)))
    with open_library(library) as opened:
        remove_take(opened, list_takes(opened)[0]["number"])
        assert list_takes(opened) == []
    assert list(takes_folder(library).iterdir()) == []


def test_what_should_not_be_kept_is_not(library: Path, tmp_path: Path) -> None:
    path = take(tmp_path, "a.mid", 1, EVEN)
    assert listen(str(path), "--no-keep")[0]["history"] is None
    with open_library(library) as opened:
        assert list_takes(opened) == []
    assert not takes_folder(library).exists()


def test_the_text_tells_what_is_steadier(library: Path, tmp_path: Path) -> None:
    listen(str(take(tmp_path, "a.mid", 8, UNEVEN)))
    path = take(tmp_path, "b.mid", 0, EVEN)
    out = tmp_path / "out"
    done = CliRunner().invoke(app, ["listen", str(path), "--hymn", str(SCORE), "--out", str(out)])
    assert "Since      The stanza gaps are steadier than on" in done.stdout
    page = (out / "b" / "take.html").read_text("utf-8")
    assert "Since earlier takes" in page
    assert "steadier than on" in page


def test_a_library_that_cannot_be_used_does_not_lose_the_report(
    library: Path, tmp_path: Path
) -> None:
    library.write_bytes(b"no database " * 100)
    done = CliRunner().invoke(
        app, ["listen", str(take(tmp_path, "a.mid", 0, EVEN)), "--hymn", str(SCORE)]
    )
    assert done.exit_code == 0
    assert "Heard: 3 stanzas" in done.stdout
    assert "is not kept" in done.output


def test_a_take_is_compared_with_last_weeks_not_with_this_mornings(
    library: Path, tmp_path: Path
) -> None:
    for name, days, how in (
        ("a.mid", 20, UNEVEN),
        ("b.mid", 7, EVEN),
        ("c.mid", 1, replace(UNEVEN, seed=9)),
    ):
        listen(str(take(tmp_path, name, days, how)))
    listen(str(take(tmp_path, "d.mid", 0, Playing(seed=5))))
    with open_library(library) as opened:
        history = history_of(opened, list_takes(opened)[0]["number"])
    assert [one.name for one in history.takes] == ["a.mid", "b.mid", "c.mid", "d.mid"]
    assert history.against is not None
    assert history.against.name == "b.mid"
