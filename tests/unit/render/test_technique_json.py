from __future__ import annotations

import json

import jsonschema
import pytest

from suspirium.plan.build import plan_hymn
from suspirium.render.technique_json import FORMAT, technique_failure, technique_values
from suspirium.score.reading import read
from suspirium.technique import find_technique
from tests.conftest import PARISH, ROOT

SCHEMA = json.loads((ROOT / "docs" / "technique.schema.json").read_text("utf-8"))


def values_of(path, arrangement="pedal"):
    plan = plan_hymn(read(path.read_bytes(), path.name))
    return technique_values(plan, find_technique(plan, arrangement=arrangement), str(path))


@pytest.mark.parametrize("arrangement", ["pedal", "manuals", "solo"])
@pytest.mark.parametrize("path", sorted(PARISH.glob("*.abc")), ids=lambda path: path.stem)
def test_techniques_keep_the_published_form(path, arrangement) -> None:
    values = values_of(path, arrangement)
    jsonschema.validate(values, SCHEMA)
    assert json.loads(json.dumps(values)) == values


def test_failures_keep_it_too() -> None:
    jsonschema.validate(technique_failure("a.abc", "the file is empty"), SCHEMA)


def test_the_schema_refuses_a_sixth_finger_and_a_foot_on_the_manual() -> None:
    values = values_of(PARISH / "fallowmere.abc")
    note = next(note for note in values["notes"] if note["plays"] == "right")
    for wrong in ({"fingers": [6]}, {"foot": "left"}):
        broken = {**values, "notes": [{**note, **wrong}]}
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(broken, SCHEMA)


def test_format_and_schema_name_the_same_version() -> None:
    assert SCHEMA["$defs"]["technique"]["properties"]["format"]["const"] == FORMAT


def test_stanzas_alike_have_the_same_fingers_and_the_others_other_keys() -> None:
    found = set()
    for path in sorted(PARISH.glob("*.abc")):
        plan = plan_hymn(read(path.read_bytes(), path.name))
        values = technique_values(plan, find_technique(plan), path.name)
        for number in plan.stanza_numbers:
            again = technique_values(plan, find_technique(plan, stanza=number), path.name)
            alike = number in values["stanzas_alike"]
            keys = [
                sorted((n["midi_pitch"], n["onset_q"], n["release_q"]) for n in one["notes"])
                for one in (values, again)
            ]
            assert (again["notes"] == values["notes"]) if alike else (keys[0] != keys[1])
            found.add(alike)
    assert found == {True, False}
