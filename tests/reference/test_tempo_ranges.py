"""Tempos of well-known tunes against the ranges they are customarily sung at.

Source: common practice (the tunes are in the public domain; no published metronome mark
is claimed). Scores: Open Hymnal Project, 2013 edition (public repository
mzealey/openhymnal, commit d35811b); skipped where the folder is absent.
"""

from __future__ import annotations

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from tests.conftest import HYMNS

SPREAD = 0.08  # how far hymnals differ from one another over one tune

# quarters a minute
BY_TUNE = {
    "italian-hymn": (96, 116),
    "melita": (80, 96),
    "valet-will-ich-dir-geben": (92, 112),
    "st-denio": (108, 132),
    "lobe-den-herren": (108, 138),
    "dix": (92, 108),
}
# Sung more slowly than their notes say, for their words: left to the organist's override.
SOLEMN = {"eventide": (66, 84), "passion-chorale": (60, 80)}


def stems(tune: str) -> list[str]:
    """The files of a tune."""
    return sorted(path.stem for path in HYMNS.glob("*.abc") if f"-{tune}" in path.stem)


def chosen(stem: str) -> float:
    """The tempo chosen for a hymn in the room and with the singers taken by default."""
    return plan_hymn(read((HYMNS / f"{stem}.abc").read_bytes(), stem)).tempo.value.quarter_bpm


pytestmark = pytest.mark.skipif(not HYMNS.is_dir(), reason="the folder of real hymns is absent")


@pytest.mark.parametrize("tune", sorted(BY_TUNE))
def test_a_tune_is_given_a_customary_tempo(tune: str) -> None:
    low, high = BY_TUNE[tune]
    found = stems(tune)
    assert found
    for stem in found:
        assert low * (1 - SPREAD) <= chosen(stem) <= high * (1 + SPREAD), stem


@pytest.mark.parametrize("tune", sorted(SOLEMN))
def test_a_solemn_tune_is_no_quicker_than_others_of_its_metre(tune: str) -> None:
    _, high = SOLEMN[tune]
    for stem in stems(tune):
        assert chosen(stem) <= high * 1.25, stem
