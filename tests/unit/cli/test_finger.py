from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from tests.conftest import PARISH, ROOT

FALLOWMERE = PARISH / "fallowmere.abc"
SCHEMA = json.loads((ROOT / "docs" / "technique.schema.json").read_text("utf-8"))


def _run(*arguments: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "suspirium", *map(str, arguments)],
        capture_output=True, text=True, timeout=120, cwd=cwd, check=False,
    )  # fmt: skip


def test_finger_prints_one_screen_with_the_caution() -> None:
    done = _run("finger", FALLOWMERE)
    assert done.returncode == 0
    assert max(map(len, done.stdout.splitlines())) <= 80
    for said in ("Effort", "Practise", "three fingers in ten", "pain"):
        assert said in done.stdout


def test_json_keeps_the_published_form_and_a_bad_file_stops_nothing(tmp_path: Path) -> None:
    bad = tmp_path / "bad.abc"
    bad.write_text("")
    done = _run("finger", "--json", bad, FALLOWMERE, "--hand-span", "19.5", "--pedalboard", "bdo")
    assert done.returncode == 1
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    for row in rows:
        jsonschema.validate(row, SCHEMA)
    assert "error" in rows[0]
    assert {note["plays"] for note in rows[1]["notes"]} == {"right", "left", "pedal"}


def test_without_a_pedal_the_hands_play_all() -> None:
    row = json.loads(_run("finger", "--json", FALLOWMERE, "--hands", "manuals").stdout)
    assert {note["plays"] for note in row["notes"]} == {"right", "left"}
    assert row["arrangement"] == "manuals"


def test_own_fingers_and_feet_beside_the_score_are_kept(tmp_path: Path) -> None:
    score = tmp_path / "hymn.abc"
    score.write_bytes(FALLOWMERE.read_bytes())
    (tmp_path / "hymn.overrides.toml").write_text(
        '[[fingers]]\nonset_q = 1\nvoice = "soprano"\nfingers = [4]\n'
        '[[feet]]\nonset_q = 1\nvoice = "bass"\nfoot = "left"\npart = "heel"\n'
    )
    notes = json.loads(_run("finger", "--json", score).stdout)["notes"]
    soprano = next(n for n in notes if n["voice"] == "soprano" and n["written_q"] == 1)
    bass = next(n for n in notes if n["voice"] == "bass" and n["written_q"] == 1)
    assert soprano["fingers"] == [4]
    assert (bass["foot"], bass["part"]) == ("left", "heel")
    assert soprano["fixed"]
    assert bass["fixed"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--hand", "huge"], "huge"),
        (["--hand-span", "60"], "60 cm"),
        (["--pedalboard", "toy"], "toy"),
        (["--hands", "three"], "three"),
        (["--level", "bad"], "bad"),
    ],
)
def test_errors_are_one_plain_sentence(arguments: list[str], said: str) -> None:
    done = _run("finger", FALLOWMERE, *arguments)
    assert done.returncode == 1
    assert said in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("section", "said"),
    [
        ('[[fingers]]\nonset_q = 1\nvoice = "soprano"\nfingers = [6]\n', "from 1 to 5"),
        ('[[fingers]]\nonset_q = 1.25\nvoice = "soprano"\nfingers = [1]\n', "no note"),
        ('[[feet]]\nonset_q = 1\nvoice = "bass"\n', "foot"),
        ('[[feet]]\nonset_q = 1\nvoice = "bass"\nfoot = "third"\n', "third"),
    ],
)
def test_wrong_overrides_are_told(tmp_path: Path, section: str, said: str) -> None:
    score = tmp_path / "hymn.abc"
    score.write_bytes(FALLOWMERE.read_bytes())
    (tmp_path / "hymn.overrides.toml").write_text(section)
    done = _run("finger", score)
    assert done.returncode == 1
    assert said in done.stderr


def test_prepare_writes_technique_and_parts(tmp_path: Path) -> None:
    done = _run("prepare", FALLOWMERE, "--out", tmp_path, "-q", "--parts", "--fingering", "all")
    assert done.returncode == 0, done.stderr
    folder = tmp_path / "fallowmere"
    jsonschema.validate(json.loads((folder / "technique.json").read_text("utf-8")), SCHEMA)
    assert (folder / "parts.pdf").read_bytes().startswith(b"%PDF")
    assert _run("prepare", FALLOWMERE, "--out", tmp_path, "--fingering", "some").returncode == 1
