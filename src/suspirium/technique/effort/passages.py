"""Passages worth practising: where demand a second runs above the hymn's own mean."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from suspirium.tables import load
from suspirium.technique.effort.demand import Demand
from suspirium.technique.model import HardPassage, MeasureEffort, Plays

_PLAYS: tuple[Plays, ...] = ("right", "left", "pedal")


def hard_passages(
    measures: Sequence[MeasureEffort], found: Sequence[Demand]
) -> tuple[HardPassage, ...]:
    """The stretches of measures whose demand exceeds the mean the most, hardest first.

    They are the maximal scoring runs of measures (Ruzzo and Tompa 1999) when each scores
    its demand less a little more than the hymn's mean for its time.
    """
    table = load("effort")
    seconds = sum(measure.seconds for measure in measures)
    mean = sum(measure.demand for measure in measures) / seconds if seconds else 0.0
    above = mean * table.number("passages.above")
    scores = [measure.demand - above * measure.seconds for measure in measures]
    runs = sorted(maximal_runs(scores), key=lambda run: -sum(scores[run[0] : run[1]]))
    most = int(table["passages.most"])
    return tuple(_passage(measures[first:end], found) for first, end in runs[:most])


def maximal_runs(scores: Sequence[float], offset: int = 0) -> list[tuple[int, int]]:
    """The run [first, end) of highest sum above 0, then those beside it likewise."""
    best, best_run = 0.0, (0, 0)
    total, first = 0.0, 0
    for index, score in enumerate(scores):
        if total <= 0:
            total, first = 0.0, index
        total += score
        if total > best:
            best, best_run = total, (first, index + 1)
    if best <= 0:
        return []
    first, end = best_run
    return [
        *maximal_runs(scores[:first], offset),
        (first + offset, end + offset),
        *maximal_runs(scores[end:], offset + end),
    ]


def _passage(measures: Sequence[MeasureEffort], found: Sequence[Demand]) -> HardPassage:
    start_q, end_q = measures[0].onset_q, measures[-1].end_q
    inside = [demand for demand in found if start_q <= demand.written_q < end_q]
    return HardPassage(
        first_measure=measures[0].measure,
        last_measure=measures[-1].measure,
        start_q=start_q,
        end_q=end_q,
        plays=_players(inside),
        demand=sum(demand.points for demand in inside),
        reason=_reason(inside),
    )


def _players(inside: Sequence[Demand]) -> tuple[Plays, ...]:
    points = {plays: sum(d.points for d in inside if d.component == plays) for plays in _PLAYS}
    least = load("effort").number("passages.share") * sum(points.values())
    named = tuple(plays for plays in _PLAYS if points[plays] >= least > 0)
    return named or _PLAYS


def _reason(inside: Sequence[Demand]) -> str:
    """The two dearest demands in words."""
    by_what: dict[str, float] = defaultdict(float)
    for demand in inside:
        by_what[demand.what] += demand.points
    dearest = sorted(by_what, key=lambda what: (-by_what[what], what))[:2]
    return f"Here {' and '.join(dearest)}."
