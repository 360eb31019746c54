"""What is written as MusicXML and read back is the same hymn."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings

from suspirium.score.mei import read_score
from suspirium.score.model import Hymn
from suspirium.score.musicxml import write_musicxml
from suspirium.score.reading import read
from tests.conftest import HYMNS
from tests.strategies import hymns


@given(hymns())
@settings(
    max_examples=100,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
def test_any_hymn_survives(hymn: Hymn):
    assert read_score(write_musicxml(hymn), "hymn.musicxml") == hymn


def test_real_hymns_survive(hymn_labels):
    for stem in hymn_labels:
        hymn = read((HYMNS / f"{stem}.abc").read_bytes(), f"{stem}.abc")
        again = read(write_musicxml(hymn), f"{stem}.musicxml")
        assert again == hymn, stem
