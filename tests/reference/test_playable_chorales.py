"""Hands and feet of four-part chorales, by the independent checker of ``playable.py``.

Scores: the chorales that music21 carries (test side only), every twentieth; all of them by
``benchmarks/technique/chorales.py``.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from music21 import corpus

from suspirium.errors import SuspiriumError
from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.technique import find_technique
from tests.reference.playable import impossible

CHORALES = [Path(p) for p in corpus.getComposer("bach") if Path(p).suffix in (".mxl", ".xml")]


@pytest.mark.parametrize("path", CHORALES[::20], ids=lambda path: path.stem)
def test_a_chorale_can_be_played_as_marked(path: Path) -> None:
    try:
        hymn = read(path.read_bytes(), path.name)
    except SuspiriumError as problem:
        pytest.skip(str(problem))
    if len(hymn.voices) != 4:
        pytest.skip("not in four parts")
    assert impossible(find_technique(plan_hymn(hymn)).notes) == []
