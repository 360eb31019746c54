"""The published form of a take report."""

from __future__ import annotations

import json

import jsonschema

from suspirium.desk.planning import plan_file
from suspirium.render.take_json import FORMAT, take_failure_values, take_values
from suspirium.take.listen import listen
from suspirium.take.model import Take
from tests.conftest import PARISH, ROOT
from tests.playing import Playing, play

SCHEMA = json.loads((ROOT / "docs" / "take.schema.json").read_text("utf-8"))


def test_reports_and_failures_are_as_published() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    plan = plan_file(PARISH / "osmerley.abc")
    for how in (Playing(), Playing(errors=0.05, again={(0, 1): 1}, introduction=(2,))):
        values = take_values(listen(plan, Take(tuple(play(plan, how).notes))), "a.mid")
        jsonschema.validate(json.loads(json.dumps(values)), SCHEMA)
    jsonschema.validate(take_failure_values("a.mid", "no take"), SCHEMA)
    assert SCHEMA["$defs"]["report"]["properties"]["format"]["const"] == FORMAT
