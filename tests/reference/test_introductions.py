"""Proposed introductions against those that a hymnal's editor brackets.

Source: Open Hymnal Project, 2013 edition (public repository mzealey/openhymnal, commit
d35811b), which brackets in its scores what is to be played first; skipped where the folder is
absent. One editor's brackets are one opinion, nearly always the last line or the last two; a
choice agrees when it overlaps the bracket by half or more (intersection over union). The
costs were fitted on half of the tunes: here the other half is judged.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.score.sounding import Tone, melody_tones
from suspirium.service.introductions import propose_introductions
from tests.conftest import HYMNS

HALF = 0.5
Spans = Sequence[tuple[Any, Any]]


def covered(melody: Sequence[Tone], spans: Spans) -> set[Fraction]:
    return {t.onset_q for t in melody if any(a <= t.onset_q <= b for a, b in spans)}


def overlap(melody: Sequence[Tone], mine: Spans, theirs: Spans) -> float:
    """Intersection over union in melody notes."""
    a, b = covered(melody, mine), covered(melody, theirs)
    return len(a & b) / len(a | b)


def test_choices_agree_with_the_brackets(hymn_labels: dict[str, dict[str, Any]]) -> None:
    held_out = set(sorted({h["tune"] for h in hymn_labels.values() if "playover_q" in h})[1::2])
    first = three = last = count = 0
    for stem, label in hymn_labels.items():
        if "playover_q" not in label or label["tune"] not in held_out:
            continue
        plan = plan_hymn(read((HYMNS / f"{stem}.abc").read_bytes(), f"{stem}.abc"))
        melody, theirs = melody_tones(plan.hymn), label["playover_q"]
        agreeing = [
            overlap(melody, [(p.first_onset_q, p.last_onset_q) for p in one.pieces], theirs) >= HALF
            for one in propose_introductions(plan)
        ]
        line = plan.phrases[-1]
        last += overlap(melody, [(line.first_onset_q, line.last_onset_q)], theirs) >= HALF
        first += agreeing[0]
        three += any(agreeing[:3])
        count += 1
    assert count > 40
    assert first / count >= 0.88
    assert three / count >= 0.97
    assert first > last  # than always the last line
