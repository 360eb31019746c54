"""Stress feet of real hymns, against what the names of metres mean.

Common practice: common, short and long metre are iambic; 8.7.8.7 and 7.7.7.7 are trochaic,
save the few hymns in 8.7.8.7 that are named iambic.
"""

from __future__ import annotations

import pytest

from suspirium.desk.planning import plan_file
from suspirium.plan.verse_facts import plan_foot
from tests.conftest import HYMNS

FEET = {
    "8.6.8.6": "iambic",
    "8.6.8.6.8.6.8.6": "iambic",
    "6.6.8.6": "iambic",
    "8.8.8.8": "iambic",
    "8.7.8.7.8.7.8.7": "trochaic",
    "8.7.8.7": "trochaic",
    "7.7.7.7.7.7": "trochaic",
    "7.7.7.7": "trochaic",
}
LEAST = 0.9


@pytest.mark.parametrize("name", sorted(set(FEET.values())))
def test_metres_have_the_feet_they_are_known_for(
    name: str, hymn_labels: dict[str, dict[str, object]]
) -> None:
    found = {
        hymn: foot.name
        for hymn, label in hymn_labels.items()
        if FEET.get(str(label.get("metre"))) == name
        and (foot := plan_foot(plan_file(HYMNS / f"{hymn}.abc")))
    }
    assert len(found) > 5
    other = {hymn: foot for hymn, foot in found.items() if foot != name}
    assert len(other) <= (1 - LEAST) * len(found), other
