from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import PARISH

FALLOWMERE = PARISH / "fallowmere.abc"
OUTPUT = {"marked.pdf", "plan.json", "plan.txt", "leading.mid", "leading.flac"}


def _run(*arguments: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "suspirium", *map(str, arguments)],
        capture_output=True, text=True, timeout=120, cwd=cwd, check=False,
    )  # fmt: skip


def test_plan_prints_one_screen() -> None:
    done = _run("plan", FALLOWMERE)
    assert done.returncode == 0
    lines = done.stdout.splitlines()
    assert len(lines) <= 40
    assert max(map(len, lines)) <= 80
    assert "Gap" in done.stdout


def test_json_is_one_object_a_line_and_a_bad_file_stops_nothing(tmp_path: Path) -> None:
    bad = tmp_path / "bad.abc"
    bad.write_text("")
    done = _run("plan", "--json", FALLOWMERE, bad, PARISH / "osmerley.abc")
    assert done.returncode == 1
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert [row["source"] for row in rows] == [
        str(FALLOWMERE),
        str(bad),
        str(PARISH / "osmerley.abc"),
    ]
    assert "error" in rows[1]
    assert "tempo" in rows[0]
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


@pytest.mark.parametrize("option", [(), ("--same-breaths",)])
def test_breaths_follow_each_stanza_or_are_the_same_in_all(option: tuple[str, ...]) -> None:
    plan = json.loads(_run("plan", PARISH / "netherwick.abc", "--json", *option).stdout)
    differing = [
        phrase["number"]
        for phrase in plan["phrases"]
        if len({stanza["breath"] for stanza in phrase["stanzas"]}) > 1
    ]
    assert bool(differing) is not bool(option)


def test_prepare_writes_everything_and_replaces(tmp_path: Path) -> None:
    for _ in range(2):
        done = _run("prepare", FALLOWMERE, "--out", tmp_path / "out", "--quiet")
        assert done.returncode == 0, done.stderr
        assert done.stdout == done.stderr == ""
    names = {p.name for p in (tmp_path / "out" / "fallowmere").iterdir()}
    assert names >= OUTPUT
    assert any(name.endswith(".svg") for name in names)
    assert (tmp_path / "out" / "fallowmere" / "marked.pdf").read_bytes().startswith(b"%PDF")


def test_overrides_beside_the_score_are_kept(tmp_path: Path) -> None:
    score = tmp_path / "hymn.abc"
    score.write_bytes(FALLOWMERE.read_bytes())
    own = tmp_path / "hymn.overrides.toml"
    own.write_text("quarter_bpm = 77\n")
    for _ in range(2):
        row = json.loads(_run("plan", "--json", score).stdout)
        assert row["tempo"]["quarter_bpm"] == 77
        assert row["tempo"]["overridden"]
    assert own.read_text() == "quarter_bpm = 77\n"
    own.write_text("quater_bpm = 77\n")
    done = _run("plan", score)
    assert done.returncode == 1
    assert "quater_bpm" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["plan", "missing.musicxml"], "no file"),
        (["plan", str(FALLOWMERE), "--room", "barn"], "barn"),
        (["prepare", str(FALLOWMERE), "--out", "o", "--sound", "mp3"], "mp3"),
        (["prepare", str(FALLOWMERE), "--out", "o", "--voice", "descant"], "descant"),
    ],
)
def test_errors_are_one_plain_sentence(arguments: list[str], said: str, tmp_path: Path) -> None:
    done = _run(*arguments, cwd=tmp_path)
    assert done.returncode == 1
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_usage_errors_have_their_own_code() -> None:
    assert _run("plan").returncode == 2
    assert _run("plan", "--singers", "0", FALLOWMERE).returncode == 2


def test_the_recording_can_be_slow_and_in_parts(tmp_path: Path) -> None:
    done = _run("prepare", FALLOWMERE, "--out", tmp_path, "-q", "--voice", "bass", "--quarter-bpm",
                "60", "--ticks", "--sound", "ogg")  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "fallowmere" / "leading.ogg").stat().st_size > 10_000
    assert not (tmp_path / "fallowmere" / "leading.flac").exists()


def test_the_demo_parish_has_its_four_kinds_of_hymn(tmp_path: Path) -> None:
    done = _run("demo", "--out", tmp_path / "demo")
    assert done.returncode == 0, done.stderr
    plans = {
        p.name: json.loads((p / "plan.json").read_text("utf-8"))
        for p in (tmp_path / "demo").iterdir()
    }
    assert len(plans) >= 4
    assert plans["fallowmere"]["hymn"]["pickup_q"] == 1
    assert plans["netherwick"]["pulse"]["unit_q"] == 3
    assert plans["quillerby"]["tempo"]["bound_by"].startswith("syllables_run")
