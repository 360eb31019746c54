"""``suspirium service`` from an empty folder to the sheets."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from suspirium.cli.app import app
from suspirium.errors import SuspiriumError
from suspirium.service.order import read_order
from tests.conftest import PARISH, ROOT


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SUSPIRIUM_LIBRARY", str(tmp_path / "none.sqlite"))
    for name in ("fallowmere.abc", "quillerby.abc"):
        shutil.copy(PARISH / name, tmp_path)
    shutil.copy(ROOT / "examples" / "organs" / "osmerley.toml", tmp_path)
    run("new", "day.toml", "--name", "Day", "--date", "2026-12-06", "--organ", "osmerley.toml")
    run("add", "day.toml", "fallowmere.abc", "--place", "opening", "--character", "2=quiet")
    return tmp_path


def run(*arguments: str) -> str:
    done = CliRunner().invoke(app, ["service", *arguments], catch_exceptions=True)
    if isinstance(done.exception, SuspiriumError):
        raise done.exception
    assert done.exit_code == 0, done.output
    return done.stdout


def test_an_order_grows(folder: Path) -> None:
    told = run("add", "day.toml", "quillerby.abc", "--key", "-2", "--stanzas", "3,1", "--amen")
    assert told == "Day has 2 hymns now.\n"
    run("add", "day.toml", "--moment", "Sermon", "--minutes", "9.5")
    order = read_order((folder / "day.toml").read_text("utf-8"))
    assert [getattr(one, "hymn", "") for one in order.moments] == [
        "fallowmere.abc",
        "quillerby.abc",
        "",
    ]
    assert order.hymns[1].stanzas == (3, 1)
    assert order.hymns[1].key == -2
    assert order.hymns[0].characters == {2: "quiet"}
    text = run("show", "day.toml")
    assert "A♭ major" in text
    assert "stanzas 3, 1" in text


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["add", "day.toml", "nothere.abc"], "no file nothere.abc"),
        (["add", "day.toml", "fallowmere.abc", "--stanzas", "1,x"], "are no stanzas"),
        (["add", "day.toml", "fallowmere.abc", "--key", "Z"], "semitones up"),
        (["add", "day.toml", "fallowmere.abc", "--place", "bells"], "choose opening"),
        (["add", "day.toml", "fallowmere.abc", "--character", "quiet"], "write 2=quiet"),
        (["new", "day.toml", "--name", "Again"], "is there already"),
        (["new", "x.toml", "--name", "X", "--date", "Sunday"], "is no day"),
        (["show", "other.toml"], "no file other.toml"),
    ],
)
def test_faults_leave_the_order_as_it_was(folder: Path, arguments: list[str], told: str) -> None:
    before = (folder / "day.toml").read_bytes()
    with pytest.raises(SuspiriumError, match=told):
        run(*arguments)
    assert (folder / "day.toml").read_bytes() == before
    assert not (folder / "x.toml").exists()


def test_faults_name_their_file(folder: Path) -> None:
    organ = folder / "osmerley.toml"
    organ.write_text(organ.read_text("utf-8").replace("Gedackt 8", "Gedackt 7"), "utf-8")
    with pytest.raises(SuspiriumError, match=r"osmerley\.toml: Manual, Gedackt: no stop is at 7"):
        run("show", "day.toml")
    with pytest.raises(SuspiriumError, match=r"osmerley\.toml"):
        run("sheet", "day.toml", "--out", "sheets")
    assert not (folder / "sheets").exists()


def test_sheets_and_everything(folder: Path) -> None:
    run("sheet", "day.toml", "--out", "made", "-q")
    made = folder / "made"
    sheets = {"bench.pdf", "choir.pdf", "service.txt", "service.json", "service.ics"}
    assert {file.name for file in made.iterdir()} == sheets
    run("prepare", "day.toml", "--out", "made", "--sound", "ogg", "-q")
    hymn = {"marked.pdf", "plan.json", "technique.json", "leading.mid", "leading.ogg"}
    assert {file.name for file in made.iterdir()} == sheets | {f"hymn-1-{one}" for one in hymn}
    technique = json.loads((made / "hymn-1-technique.json").read_text("utf-8"))
    assert not any(note["plays"] == "pedal" for note in technique["notes"])  # none is there
    values = json.loads(run("show", "day.toml", "--json"))
    assert values == json.loads((made / "service.json").read_text("utf-8"))
    run("sound", "day.toml", "--out", "sounds", "--sound", "wav", "-q")
    assert {f.name for f in (folder / "sounds").iterdir()} == {
        "hymn-1-leading.mid",
        "hymn-1-leading.wav",
    }


def test_a_hymn_is_heard_on_an_organ(folder: Path) -> None:
    """The recording on the chapel's stops is another than the practice organ's."""
    for name, more in (("plain", []), ("chapel", ["--organ", "osmerley.toml"])):
        done = CliRunner().invoke(
            app, ["prepare", "fallowmere.abc", "--out", name, "--sound", "wav", "-q", *more]
        )
        assert done.exit_code == 0, done.output
    plain, chapel = (folder / name / "fallowmere" for name in ("plain", "chapel"))
    assert not (plain / "stops.txt").exists()
    assert "Gedackt" in (chapel / "stops.txt").read_text("utf-8")
    assert (plain / "leading.mid").read_bytes() == (chapel / "leading.mid").read_bytes()
    assert (plain / "leading.wav").read_bytes() != (chapel / "leading.wav").read_bytes()
