"""The order in which the written score is performed: repeats and endings unfolded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.model import Hymn, Measure, Span
from suspirium.score.words import repeated_sections, singers, stretches


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

    A repeated section is played twice, or as often as its endings say; a repeat that
    stands for the next stanza is not played within one. With `stanza`, only the parts of
    the score to which that stanza is sung.
    """
    skipped = _repeats_for_stanzas(hymn)
    played: list[Passage] = []
    spans = stretches(hymn, stanza) if stanza is not None else ()
    for measure, turn in _played(hymn.measures, skipped):
        for start_q, end_q in _kept(measure, spans):
            last = played[-1] if played else None
            if last and last.turn == turn and last.end_q == start_q:
                played[-1] = Passage(last.start_q, end_q, turn)
            else:
                played.append(Passage(start_q, end_q, turn))
    return tuple(played)


def _kept(measure: Measure, spans: tuple[Span, ...]) -> Iterator[tuple[Fraction, Fraction]]:
    """What lies within the spans; all of the measure where there are none."""
    if not spans:
        yield measure.onset_q, measure.end_q
    for span in spans:
        start_q, end_q = max(measure.onset_q, span.start_q), min(measure.end_q, span.end_q)
        if start_q < end_q:
            yield start_q, end_q


def _repeats_for_stanzas(hymn: Hymn) -> frozenset[Fraction]:
    """Ends of sections whose repeat sign leads to the next stanza.

    So where a section holds all that three or more stanzas sing each for themselves:
    its lines of words are more than its two turns.
    """
    if len(hymn.stanzas) < 3:
        return frozenset()
    together = [onset_q for onset_q, who in singers(hymn.stanzas) if len(who) > 1]
    return frozenset(
        section.end_q
        for section in repeated_sections(hymn)
        if all(onset_q in section for onset_q in together)
    )


def _played(
    measures: tuple[Measure, ...], skipped: frozenset[Fraction]
) -> list[tuple[Measure, int]]:
    order: list[tuple[Measure, int]] = []
    section_start = 0
    turn = 1
    index = 0
    while index < len(measures):
        measure = measures[index]
        if measure.repeat_start and index != section_start:
            section_start, turn = index, 1
        if measure.endings and turn not in measure.endings:
            index += 1
            if not (index < len(measures) and measures[index].endings):
                section_start, turn = index, 1
            continue
        order.append((measure, turn))
        repeats = measure.repeat_end and measure.end_q not in skipped
        if repeats and turn < _turns(measures, section_start, index):
            turn += 1
            index = section_start
            continue
        index += 1
        if measure.repeat_end or (
            measure.endings and not (index < len(measures) and measures[index].endings)
        ):
            section_start, turn = index, 1
    return order


def _turns(measures: tuple[Measure, ...], start: int, end: int) -> int:
    """How often the section from `start` to the repeat sign at `end` is played."""
    named: list[int] = []
    for index in range(start, len(measures)):
        measure = measures[index]
        if index > end and not measure.endings:
            break
        named.extend(measure.endings)
    return max(2, *named) if named else 2
