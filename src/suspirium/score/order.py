"""The order in which the written score is performed: repeats and endings unfolded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.model import Hymn, Measure, Span
from suspirium.score.repeats import sections
from suspirium.score.turns import rounds, turn_of
from suspirium.score.words import stretches


@dataclass(frozen=True, slots=True)
class Passage:
    """A written stretch as it is performed, for the `turn`-th time (1 the first)."""

    start_q: Fraction
    end_q: Fraction
    turn: int

    @property
    def duration_q(self) -> Fraction:
        return self.end_q - self.start_q


def passages(hymn: Hymn, stanza: int | None = None) -> tuple[Passage, ...]:
    """The written score as played once through, adjoining measures joined.

    A repeated section is played twice, or as often as its endings say, unless its repeat
    leads to the next stanza (`suspirium.score.turns.rounds`): then it is played once, with
    the ending of the stanza's turn. With `stanza`, only the parts of the score to which
    that stanza is sung; without, the way of the last stanza.
    """
    played: list[Passage] = []
    spans = stretches(hymn, stanza) if stanza is not None else ()
    for measure, turn in _played(hymn, stanza):
        for start_q, end_q in _kept(measure, spans):
            last = played[-1] if played else None
            if last and last.turn == turn and last.end_q == start_q:
                played[-1] = Passage(last.start_q, end_q, turn)
            else:
                played.append(Passage(start_q, end_q, turn))
    return tuple(played)


def _played(hymn: Hymn, stanza: int | None) -> Iterator[tuple[Measure, int]]:
    """Measures in the order of playing, and for which time each is played."""
    measures, onward = hymn.measures, rounds(hymn)
    index = 0
    for section in sections(measures):
        yield from _turn(measures[index : section.first], 1)
        inside = measures[section.first : section.last + 1]
        if section in onward:
            turn = section.turns if stanza is None else turn_of(hymn, section, stanza)
            yield from ((measure, 1) for measure, _ in _turn(inside, turn))
        else:
            for turn in range(1, section.turns + 1):
                yield from _turn(inside, turn)
        index = section.last + 1
    yield from _turn(measures[index:], 1)


def _turn(measures: Sequence[Measure], turn: int) -> Iterator[tuple[Measure, int]]:
    """The measures of one turn: those under other endings are passed over."""
    return ((m, turn) for m in measures if not m.endings or turn in m.endings)


def _kept(measure: Measure, spans: tuple[Span, ...]) -> Iterator[tuple[Fraction, Fraction]]:
    """What lies within the spans; all of the measure where there are none."""
    if not spans:
        yield measure.onset_q, measure.end_q
    for span in spans:
        start_q, end_q = max(measure.onset_q, span.start_q), min(measure.end_q, span.end_q)
        if start_q < end_q:
            yield start_q, end_q
