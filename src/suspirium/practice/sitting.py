"""One day's sitting: how many visits fit, in which order, with breaks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from suspirium.practice.settings import Learning
from suspirium.tables import load

Visit = tuple[int, int]
"""A visit to a passage: the hymn's index and the passage's in it."""


def visits_in(minutes: int, learning: Learning) -> int:
    """How many visits fit into so many minutes, with the breaks between them."""
    table = load("practice")
    minutes = min(minutes, int(table["time.most_min"]))
    count = 0
    while minutes_of(count + 1, learning) <= minutes:
        count += 1
    return count


def minutes_of(visits: int, learning: Learning) -> int:
    """The minutes of so many visits and of the breaks between them."""
    breaks = max(0, visits - 1) // visits_before_break(learning)
    return visits * learning.visit_min + breaks * int(load("practice")["time.break_min"])


def visits_before_break(learning: Learning) -> int:
    """Visits in a row before one leaves the console for some minutes."""
    return max(1, int(load("practice")["time.work_min"]) // learning.visit_min)


def in_order(visits: Mapping[Visit, int], first: Sequence[int]) -> list[Visit]:
    """The visits of a day interleaved: never a passage twice running where it can be helped,
    and another hymn each time where there is one.

    `first` are the hymns from the most pressing on; they open the sitting.
    """
    left = Counter({visit: count for visit, count in visits.items() if count})
    rank = {hymn: index for index, hymn in enumerate(first)}
    found: list[Visit] = []
    while left:
        chosen = min(left, key=lambda visit: _cost(visit, left, found[-1:], rank))
        found.append(chosen)
        left -= Counter([chosen])
    return found


def _cost(
    visit: Visit, left: Counter[Visit], last: Sequence[Visit], rank: Mapping[int, int]
) -> tuple[object, ...]:
    """The lower, the sooner; a passage with more visits left than all others must come now."""
    hymn = visit[0]
    of_hymn = sum(count for other, count in left.items() if other[0] == hymn)
    return (
        visit in last,
        2 * left[visit] <= left.total(),
        any(hymn == other[0] for other in last),
        -of_hymn,
        -left[visit],
        rank[hymn],
        visit,
    )
