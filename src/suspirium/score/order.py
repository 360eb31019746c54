"""The order in which the written score is performed: repeats and endings unfolded."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.model import Hymn, Measure


@dataclass(frozen=True, slots=True)
class Passage:
    """A written stretch as it is performed, for the `turn`-th time (1 the first)."""

    start_q: Fraction
    end_q: Fraction
    turn: int

    @property
    def duration_q(self) -> Fraction:
        return self.end_q - self.start_q


def passages(hymn: Hymn) -> tuple[Passage, ...]:
    """The written score as played once through, adjoining measures joined.

    A repeated section is played twice, or as often as its endings say.
    """
    played: list[Passage] = []
    for measure, turn in _played(hymn.measures):
        last = played[-1] if played else None
        if last and last.turn == turn and last.end_q == measure.onset_q:
            played[-1] = Passage(last.start_q, measure.end_q, turn)
        else:
            played.append(Passage(measure.onset_q, measure.end_q, turn))
    return tuple(played)


def _played(measures: tuple[Measure, ...]) -> list[tuple[Measure, int]]:
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
        if measure.repeat_end and turn < _turns(measures, section_start, index):
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
