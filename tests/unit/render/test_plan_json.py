from __future__ import annotations

import json

import jsonschema
import pytest

from suspirium.plan.build import plan_hymn
from suspirium.render.plan_json import FORMAT, failure_values, plan_values
from suspirium.score.reading import read
from tests.conftest import PARISH, ROOT

SCHEMA = json.loads((ROOT / "docs" / "plan.schema.json").read_text("utf-8"))


@pytest.mark.parametrize("path", sorted(PARISH.glob("*.abc")), ids=lambda path: path.stem)
def test_plans_keep_the_published_form(path) -> None:
    values = plan_values(plan_hymn(read(path.read_bytes(), path.name)), str(path))
    jsonschema.validate(values, SCHEMA)
    assert json.loads(json.dumps(values)) == values


def test_failures_keep_it_too() -> None:
    jsonschema.validate(failure_values("a.abc", "the file is empty"), SCHEMA)


def test_the_schema_refuses_a_plan_without_reasons() -> None:
    path = PARISH / "fallowmere.abc"
    values = plan_values(plan_hymn(read(path.read_bytes(), path.name)), "x")
    values["stanza_gap"]["reason"] = ""
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(values, SCHEMA)


def test_format_and_schema_name_the_same_version() -> None:
    assert SCHEMA["$defs"]["plan"]["properties"]["format"]["const"] == FORMAT
