"""``suspirium listen``: takes on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from suspirium.cli.app import app
from suspirium.desk.planning import plan_file
from suspirium.errors import TakeError
from suspirium.plan.performance import perform
from suspirium.render.midi import write_midi
from tests.conftest import PARISH
from tests.playing import Playing, as_midi, play

SCORE = PARISH / "quillerby.abc"


@pytest.fixture
def takes(tmp_path: Path) -> Path:
    plan = plan_file(SCORE)
    (tmp_path / "one.mid").write_bytes(write_midi(plan, perform(plan)))
    uneven = Playing(seed=2, errors=0.02, added={(1, 1): 1.0}, gap_added_s={0: 0.8})
    (tmp_path / "two.mid").write_bytes(as_midi(play(plan, uneven).notes))
    (tmp_path / "notes.txt").write_text("not a take")
    return tmp_path


def test_the_plans_own_recording_is_exactly_as_planned(takes: Path) -> None:
    done = CliRunner().invoke(
        app, ["listen", str(takes / "one.mid"), "--hymn", str(SCORE), "--json"]
    )
    values = json.loads(done.stdout)
    assert values["stanzas_found"] == 3
    assert values["notes"]["wrong"] == values["notes"]["missing"] == values["notes"]["extra"] == 0
    for end in values["phrase_ends"]:
        assert end["silence_s"] == pytest.approx(end["planned_silence_s"], abs=0.002)
        assert end["hold_s"] == pytest.approx(end["planned_hold_s"], abs=0.002)
        assert end["added_q"] == pytest.approx(0, abs=0.01)
    for gap in values["gaps"]:
        planned_q = values["planned_gap"]["onset_to_onset_q"]
        assert gap["onset_to_onset_q"] == pytest.approx(planned_q, abs=0.01)
    assert values["advice"] == []


def test_a_folder_of_takes_is_one_object_a_line(takes: Path) -> None:
    done = CliRunner().invoke(app, ["listen", str(takes), "--hymn", str(SCORE), "--json"])
    first, second = map(json.loads, done.stdout.splitlines())
    assert first["source"].endswith("one.mid")
    assert second["source"].endswith("two.mid")
    assert any("Go straight on at the end of line 2 in stanza 2" in a for a in second["advice"])


def test_the_text_says_what_to_change(takes: Path) -> None:
    done = CliRunner().invoke(app, ["listen", str(takes / "two.mid"), "--hymn", str(SCORE)])
    assert "1          " in done.stdout
    assert "beat added" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 78


def test_a_bad_take_does_not_stop_the_rest(takes: Path) -> None:
    names = [str(takes / name) for name in ("notes.txt", "one.mid")]
    done = CliRunner().invoke(app, ["listen", *names, "--hymn", str(SCORE), "--json"])
    assert done.exit_code == 1
    bad, good = map(json.loads, done.stdout.splitlines())
    assert "damaged" in bad["error"]
    assert good["stanzas_found"] == 3


def test_a_folder_without_takes_is_said(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["listen", str(tmp_path), "--hymn", str(SCORE)])
    assert isinstance(done.exception, TakeError)
    assert "no takes" in str(done.exception)
