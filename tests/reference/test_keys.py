"""Proposed keys against the keys in which standard hymnals print their tunes.

The keys are recalled from memory of several English-language hymnals of the 20th century
(older books a tone or semitone higher than younger ones); the scores are those of the Open
Hymnal Project, 2013 edition (public repository mzealey/openhymnal, commit d35811b), which
reprints books of the 19th century; skipped where the folder is absent.
"""

from __future__ import annotations

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.service.keys import propose_key
from tests.conftest import HYMNS

HYMNALS = {
    "eventide": {"E♭", "D"},
    "lobe-den-herren": {"F", "G"},
    "valet-will-ich-dir-geben-st-theodulph": {"B♭", "C"},
    "dix": {"G", "F"},
    "melita": {"C", "B♭"},
    "st-denio": {"G", "A♭"},
    "italian-hymn": {"F", "G"},
    "darwalls-148th": {"C", "D"},
    "austria": {"E♭", "F", "D"},
    "aurelia": {"E♭", "D"},
    "st-agnes": {"G", "F"},
    "ellacombe": {"A", "B♭", "G"},
    "foundation": {"G", "A♭", "F"},
    "llanfair": {"F", "G"},
    "helmsley": {"G", "A♭"},
}


@pytest.mark.parametrize("tune", HYMNALS)
def test_proposals_are_keys_that_hymnals_print(tune: str, hymn_labels: dict) -> None:
    stems = [s for s, label in hymn_labels.items() if label["tune"].startswith(tune)]
    assert stems
    for stem in stems:
        plan = plan_hymn(read((HYMNS / f"{stem}.abc").read_bytes(), f"{stem}.abc"))
        assert propose_key(plan).proposed.removesuffix(" major") in HYMNALS[tune]


def test_books_of_the_nineteenth_century_come_down(hymn_labels: dict) -> None:
    moves = [
        propose_key(plan_hymn(read((HYMNS / f"{stem}.abc").read_bytes(), f"{stem}.abc"))).semitones
        for stem in sorted(hymn_labels)[::3]
    ]
    assert all(move <= 0 for move in moves)
    assert moves.count(0) >= len(moves) / 2  # most of them are kept
    assert min(moves) >= -3
