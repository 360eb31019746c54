"""Hymns with the introduction that their editor brackets, and how a choice overlaps it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.service.introductions.model import Piece
from suspirium.service.introductions.tune import Tune, tune_of

HYMNS = Path(__file__).resolve().parents[2].parent / "shared" / "hymns"
HALF = 0.5

Spans = Sequence[tuple[Fraction, Fraction]]  # first and last onset


@dataclass(frozen=True)
class Bracketed:
    """One hymn and the spans of its bracket."""

    stem: str
    name: str  # of the tune: a division never goes through it
    tune: Tune
    spans: Spans


def bracketed_hymns(folder: Path = HYMNS) -> Iterator[Bracketed]:
    """The hymns of the folder that have a bracket."""
    labels = json.loads((folder / "labels.json").read_text("utf-8"))
    for stem, label in sorted(labels.items()):
        if spans := label.get("playover_q"):
            hymn = read((folder / f"{stem}.abc").read_bytes(), f"{stem}.abc")
            exact = [(Fraction(first), Fraction(last)) for first, last in spans]
            yield Bracketed(stem, label["tune"], tune_of(plan_hymn(hymn)), exact)


def halves(hymns: Sequence[Bracketed]) -> tuple[list[Bracketed], list[Bracketed]]:
    """The hymns of every second tune by name, and the others."""
    names = sorted({hymn.name for hymn in hymns})
    first = set(names[::2])
    return [h for h in hymns if h.name in first], [h for h in hymns if h.name not in first]


def spans_of(pieces: Sequence[Piece]) -> Spans:
    return [(piece.first_onset_q, piece.last_onset_q) for piece in pieces]


def by_notes(tune: Tune, mine: Spans, theirs: Spans) -> float:
    """Intersection over union, counted in melody notes."""
    a, b = ({t.onset_q for t in tune.melody if _in(t.onset_q, spans)} for spans in (mine, theirs))
    return len(a & b) / len(a | b)


def by_time(tune: Tune, mine: Spans, theirs: Spans) -> float:
    """The same in score time, until the end of each last note."""
    ends = {tone.onset_q: tone.end_q for tone in tune.melody}
    a, b = (
        [(first, max(end for at, end in ends.items() if first <= at <= last)) for first, last in s]
        for s in (mine, theirs)
    )
    both = either = Fraction(0)
    for low, high in pairwise(sorted({q for span in (*a, *b) for q in span})):
        middle = (low + high) / 2
        both += (high - low) * (_in(middle, a) and _in(middle, b))
        either += (high - low) * (_in(middle, a) or _in(middle, b))
    return float(both / either)


def _in(at_q: Fraction, spans: Spans) -> bool:
    return any(first <= at_q <= last for first, last in spans)
