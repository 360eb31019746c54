"""No hand and no foot is asked for what it can't do, by an independent checker.

Scores: Open Hymnal Project, 2013 edition (public repository mzealey/openhymnal, commit
d35811b), skipped where the folder is absent; definitions: see ``playable.py``.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.technique.find import find_technique
from tests.conftest import HYMNS, PARISH
from tests.reference.playable import impossible

SCORES = [*sorted(PARISH.glob("*.abc")), *sorted(HYMNS.glob("*.abc"))]


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_a_hymn_can_be_played_as_marked(path: Path) -> None:
    technique = find_technique(plan_hymn(read(path.read_bytes(), path.name)))
    assert technique.notes
    assert impossible(technique.notes) == []


def test_the_checker_sees_a_finger_on_two_keys() -> None:
    path = SCORES[0]
    notes = find_technique(plan_hymn(read(path.read_bytes(), path.name))).notes
    first, second = next(
        (one, other)
        for one, other in combinations(notes, 2)
        if one.plays == other.plays == "right" and one.onset_q == other.onset_q
    )
    doubled = replace(second, fingers=first.fingers)
    assert impossible([first, second]) == []
    assert impossible([first, doubled])
