"""Every way to spread visits to one passage over the days, with what it brings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from suspirium.practice.model import Known, Passage, Way
from suspirium.practice.parts import Ladder, ladder
from suspirium.practice.readiness import (
    Floats,
    Ints,
    State,
    night,
    readiness,
    start,
    together,
    visit,
)
from suspirium.practice.settings import Learning
from suspirium.tables import load


@dataclass(frozen=True, slots=True)
class Histories:
    """Ways to spread visits: `visits` a day, shape (ways, days of practice), and how ready the
    whole passage is on the day of the service, shape (ways,)."""

    visits: Ints
    ready: Floats


def histories(
    passage: Passage,
    known: Known,
    way: Way,
    learning: Learning,
    days: Sequence[int],
    most: Sequence[int],
    service_day: int,
) -> Histories:
    """All ways with at most `most[i]` visits on `days[i]`, each visit after other hymns.

    Where there are more than the table keeps, only the readiest of each number of visits
    go on.
    """
    steps = ladder(passage, way, learning)
    state = night(start(steps, known), learning, days[0] if days else service_day)
    visits = np.zeros((1, 0), dtype=np.int64)
    for index, day in enumerate(days):
        options = [state]
        for _ in range(most[index]):
            options.append(visit(steps, options[-1], learning)[0])
        following = days[index + 1] if index + 1 < len(days) else service_day
        counts = [np.full((len(visits), 1), count) for count in range(len(options))]
        visits = np.concatenate([np.hstack((visits, count)) for count in counts])
        state = night(together(options), learning, following - day)
        kept = _kept(visits, _whole(steps, state))
        visits, state = visits[kept], state[kept]
    return Histories(visits, _whole(steps, state))


def _whole(steps: Ladder, state: State) -> Floats:
    whole: Floats = readiness(steps, state)[:, steps.whole]
    return whole


def _kept(visits: Ints, ready: Floats) -> Ints:
    """The histories that go on, in order: of each number of visits the same number."""
    most = int(load("practice")["choose.histories"])
    if len(visits) <= most:
        return np.arange(len(visits))
    totals = visits.sum(axis=1)
    share = most // (int(totals.max()) + 1)
    best = np.lexsort((-ready, totals))
    first = np.searchsorted(totals[best], totals[best])
    kept: Ints = np.sort(best[np.arange(len(best)) - first < share])
    return kept
