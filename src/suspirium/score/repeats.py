"""Repeated sections as the barlines write them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from suspirium.score.model import Measure, Span


@dataclass(frozen=True, slots=True)
class Section:
    """Measures `first` to `last` (indices) between repeat signs, all endings included.

    It is played `turns` times: twice, or as often as its endings say.
    """

    first: int
    last: int
    span: Span
    turns: int
    endings: tuple[tuple[Span, tuple[int, ...]], ...]  # where, and in which turns


def sections(measures: Sequence[Measure]) -> tuple[Section, ...]:
    """The repeated sections in order; they do not overlap."""
    found: list[Section] = []
    first = index = 0
    while index < len(measures):
        if measures[index].repeat_start:
            first = index
        if not measures[index].repeat_end:
            index += 1
            continue
        last = index
        while last + 1 < len(measures) and _goes_on(measures[last + 1]):
            last += 1
        found.append(_section(measures, first, last))
        first = index = last + 1
    return tuple(found)


def _goes_on(after: Measure) -> bool:
    return bool(after.endings) and not after.repeat_start


def _section(measures: Sequence[Measure], first: int, last: int) -> Section:
    inside = measures[first : last + 1]
    named = [turn for measure in inside for turn in measure.endings]
    return Section(
        first,
        last,
        Span(inside[0].onset_q, inside[-1].end_q),
        max(2, *named) if named else 2,
        tuple((Span(m.onset_q, m.end_q), m.endings) for m in inside if m.endings),
    )
