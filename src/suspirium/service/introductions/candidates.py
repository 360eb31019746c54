"""Every introduction that is possible: runs of lines, the first joined to the last, half lines."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from statistics import median

from suspirium.plan.model import Phrase
from suspirium.score.sounding import bar_onset_q
from suspirium.score.words import sung
from suspirium.service.introductions.model import Piece
from suspirium.service.introductions.tune import Tune
from suspirium.tables import load

LONG = Fraction(3, 2)  # times the usual note: enough to end a clause within a line
MOST_FIRST = 2  # lines taken from the opening
MOST_LAST = 2  # lines joined to them from the end

Pieces = tuple[Piece, ...]


def candidates(tune: Tune) -> tuple[Pieces, ...]:
    """All candidates; every one ends with a line of the poem."""
    return (*_runs(tune), *_joined(tune), *_halves(tune))


def _runs(tune: Tune) -> Iterator[Pieces]:
    for last in tune.lines:
        for first in tune.lines[: last.number]:
            yield (_piece(first, last),)


def _joined(tune: Tune) -> Iterator[Pieces]:
    """The opening and the stanza's end with something left out between."""
    lines = tune.lines[: tune.stanza_end]
    for first in lines[:MOST_FIRST]:
        for last in lines[-MOST_LAST:]:
            if last.number > first.number + 1:
                yield _piece(lines[0], first), _piece(last, lines[-1])


def _halves(tune: Tune) -> Iterator[Pieces]:
    """From a rest within a line to its end, where the music begins as a line would."""
    for line in tune.lines:
        for start_q in _clauses(tune, line):
            yield (Piece(start_q, line.last_onset_q, line.last_onset_q + line.written_q),)


def _clauses(tune: Tune, line: Phrase) -> Iterator[Fraction]:
    inside = [t for t in tune.melody if line.first_onset_q <= t.onset_q <= line.last_onset_q]
    fewest = load("introduction")["tune.fewest_notes"]
    usual_q = median(tone.duration_q for tone in tune.melody)
    opening_q = _place_q(tune, tune.lines[0].first_onset_q)
    for before, tone in pairwise(inside):
        waits_q = tone.onset_q - before.onset_q
        if (
            waits_q >= LONG * usual_q
            and _place_q(tune, tone.onset_q) == opening_q
            and tune.notes(tone.onset_q, line.last_onset_q) >= fewest
            and _opens_word(tune, tone.onset_q)
        ):
            yield tone.onset_q


def _place_q(tune: Tune, onset_q: Fraction) -> Fraction:
    return onset_q - bar_onset_q(tune.plan.hymn, onset_q)


def _opens_word(tune: Tune, onset_q: Fraction) -> bool:
    """Whether no word of the first stanza runs over this place."""
    hymn = tune.plan.hymn
    words = sung(hymn, tune.plan.stanza_numbers[0])
    before = [syllable for syllable in words if syllable.onset_q < onset_q]
    inside = before and before[-1].end_q > onset_q
    return not before or not (before[-1].joins_next or inside)


def _piece(first: Phrase, last: Phrase) -> Piece:
    return Piece(first.first_onset_q, last.last_onset_q, last.last_onset_q + last.written_q)
