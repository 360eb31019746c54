"""``suspirium hymnal``: from the command line, in words and as JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from suspirium.cli.app import app
from tests.conftest import PARISH


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "hymnal.sqlite"
    monkeypatch.setenv("SUSPIRIUM_LIBRARY", str(path))
    monkeypatch.chdir(tmp_path)
    assert run("add", str(PARISH), "--quiet").exit_code == 0
    return path


def run(*words: str) -> Result:
    return CliRunner().invoke(app, ["hymnal", *words])


def found(*words: str) -> list[str]:
    done = run("find", *words, "--json")
    return [json.loads(line)["tune"] for line in done.stdout.splitlines()]


def test_hymns_are_found_by_words_notes_key_range_and_size(library: Path) -> None:
    assert found("lamps") == ["Fallowmere"]
    assert found("OPEN sky") == ["Fallowmere"]
    assert found("--tune", "nether") == ["Netherwick"]
    assert found("--key", "Bb major") == ["Quillerby"]
    assert found("--notes", "5 1 2 3 4 3") == ["Fallowmere"]
    assert found("--notes", "+5 +2 +2 +1 -1") == ["Fallowmere"]
    assert len(found("--within", "C4-F5")) == 4
    assert found("--within", "C5-F5") == []
    assert len(found("--easier", "5")) == 4
    assert found("--longer", "95") == ["Quillerby"]


def test_what_can_not_be_understood_is_said(library: Path) -> None:
    for words in (("--notes", "x y"), ("--key", "H dur"), ("--within", "low")):
        done = run("find", *words)
        assert done.exit_code == 1
        assert done.exception is not None
        assert words[1].split()[0] in str(done.exception)


def test_notes_tags_rights_and_decisions_are_kept(library: Path, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text("quarter_bpm = 77\n")
    done = run(
        "note", "fallowmere", "--text", "with trumpet", "--tag", "Evening", "--part", "words",
        "--credit", "A parish poet", "--licence", "asked 2026", "--overrides", str(own),
    )  # fmt: skip
    assert done.exit_code == 0
    values = json.loads(run("show", "the lamps are lit", "--json").stdout)
    assert values["notes"] == "with trumpet"
    assert values["tags"] == ["evening"]
    assert values["rights"]["words"] == {"credit": "A parish poet", "licence": "asked 2026"}
    assert "Words: A parish poet." in values["credit_line"]
    assert found("--tag", "evening") == ["Fallowmere"]
    planned = CliRunner().invoke(app, ["plan", "fallowmere", "--json"])
    assert json.loads(planned.stdout)["tempo"]["quarter_bpm"] == 77
    text = run("show", "fallowmere").stdout
    assert "separate rights" in text
    assert max(map(len, text.splitlines())) <= 78


def test_every_command_takes_a_hymn_of_the_library(library: Path, tmp_path: Path) -> None:
    runner = CliRunner()
    done = runner.invoke(app, ["prepare", "netherwick", "--out", "out", "--quiet"])
    assert done.exit_code == 0, done.output
    take = tmp_path / "out" / "netherwick" / "leading.mid"
    heard = runner.invoke(app, ["listen", str(take), "--hymn", "netherwick", "--json"])
    assert json.loads(heard.stdout)["stanzas_found"] == 3
    unknown = runner.invoke(app, ["plan", "no such hymn"])
    assert unknown.exit_code == 1
    assert "no hymn of that name" in unknown.output


def test_backup_restore_export_and_remove(library: Path, tmp_path: Path) -> None:
    assert run("backup", "copy.sqlite").exit_code == 0
    assert run("remove", "osmerley", "--yes").exit_code == 0
    assert len(found()) == 3
    kept = json.loads(run("restore", "copy.sqlite", "--json").stdout)["kept"]
    assert Path(kept).exists()
    assert len(found()) == 4
    assert json.loads(run("export", "all", "--json").stdout)["exported"] == 4
    folders = sorted(p.name for p in (tmp_path / "all").iterdir())
    assert folders[0] == "0001-the-lamps-are-lit"
    inside = {p.name for p in (tmp_path / "all" / folders[0]).iterdir()}
    assert inside == {"fallowmere.abc", "score.musicxml", "hymn.json"}
    original = (PARISH / "fallowmere.abc").read_bytes()
    assert (tmp_path / "all" / folders[0] / "fallowmere.abc").read_bytes() == original


def test_words_are_laid_under_another_tune_of_their_metre(library: Path, tmp_path: Path) -> None:
    text = (PARISH / "fallowmere.abc").read_text("utf-8")
    other = tmp_path / "other.abc"
    named = text.replace("The lamps are lit", "Another", 1).replace("Fallowmere", "Otherwhere")
    other.write_text(named, "utf-8")
    assert run("add", str(other), "--quiet").exit_code == 0
    values = json.loads(run("show", "another", "--json").stdout)
    assert [same["tune"] for same in values["same_tune"]] == ["Fallowmere"]
    assert run("exchange", "another", "--json").stdout == ""  # only its own tune has this metre
    done = run("exchange", "another", "--take", "fallowmere", "--out", "new.musicxml", "--json")
    assert json.loads(done.stdout)["remarks"] == []
    planned = CliRunner().invoke(app, ["plan", "new.musicxml", "--json"])
    hymn = json.loads(planned.stdout)["hymn"]
    assert (hymn["title"], hymn["metre"], hymn["stanzas"]) == ("Another", "8.6.8.6", 3)
    wrong = run("exchange", "another", "--take", "osmerley", "--out", "no.musicxml")
    assert wrong.exit_code == 1
    assert "does not fit" in str(wrong.exception)
    assert not (tmp_path / "no.musicxml").exists()
