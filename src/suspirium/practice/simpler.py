"""The accurate simple thing, where the week is too short for a hymn as it stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from suspirium.practice import means
from suspirium.practice.model import Expected, PracticeHymn, Simpler, Way
from suspirium.practice.parts import ladder
from suspirium.practice.readiness import Ints, night, readiness, start, visit
from suspirium.practice.rules import Frame
from suspirium.practice.settings import Learning
from suspirium.practice.sitting import Visit
from suspirium.tables import load


def simpler_ways(
    hymns: Sequence[PracticeHymn],
    visits: Sequence[Visit],
    counts: Ints,
    expected: Sequence[Expected],
    week: Frame,
    how: Learning,
) -> tuple[Simpler, ...]:
    """For every hymn that will not be secure, what would be readier in the very same visits.

    Best first within a hymn; nothing that is no gain.
    """
    secure = load("practice").number("ready.secure")
    found: list[Simpler] = []
    for h, hymn in enumerate(hymns):
        if expected[h].ready >= secure:
            continue
        own = np.array([counts[i] for i, v in enumerate(visits) if v[0] == h])
        better = [way for way in _ways(h, hymn, own, week, how) if way.ready > expected[h].ready]
        found += sorted(better, key=lambda way: -way.ready)
    return tuple(found)


def _ways(
    h: int, hymn: PracticeHymn, counts: Ints, week: Frame, how: Learning
) -> Iterator[Simpler]:
    if hymn.way == "all" and any(p.demand.get("pedal", 0.0) > 0 for p in hymn.passages):
        yield Simpler(
            h,
            "manuals only",
            _ready(hymn, "manuals", counts, week, how, 1.0),
            "the bass goes to the left hand, and there is one player less to put together",
        )
        yield from _fewer_stanzas(h, hymn, counts, week, how)
    if hymn.way != "tune and bass":
        yield Simpler(
            h,
            "tune and bass",
            _ready(hymn, "tune and bass", counts, week, how, 1.0),
            "tune and bass played accurately lead better than four parts with faults",
        )


def _fewer_stanzas(
    h: int, hymn: PracticeHymn, counts: Ints, week: Frame, how: Learning
) -> Iterator[Simpler]:
    """Pedal in some stanzas only; the minutes are parted as the stanzas are."""
    best: tuple[float, int] | None = None
    for with_pedal in range(1, hymn.stanzas):
        share = with_pedal / hymn.stanzas
        pedal = _ready(hymn, "all", counts, week, how, share)
        hands = _ready(hymn, "manuals", counts, week, how, 1 - share)
        ready = pedal**share * hands ** (1 - share)
        if best is None or ready > best[0]:
            best = ready, with_pedal
    if best is not None:
        ready, number = best
        last = "the last stanza" if number == 1 else f"the last {number} stanzas"
        yield Simpler(
            h,
            f"pedal in {last} only",
            ready,
            f"hands alone lead the other{'s' if hymn.stanzas - number > 1 else ''}",
        )


def _ready(
    hymn: PracticeHymn, way: Way, counts: Ints, week: Frame, how: Learning, share: float
) -> float:
    """Readiness played this way, after this share of the minutes of these visits."""
    other = hymn if way == "all" else simpler_hymn(hymn, way)
    passages = []
    for p, passage in enumerate(other.passages):
        steps = ladder(passage, way, how)
        state, today = start(steps, other.known[p]), 0
        for day, count in zip(week.days, counts[p].tolist(), strict=True):
            state, today = night(state, how, day - today), day
            for _ in range(count):
                state, _ = visit(steps, state, how, share=share)
        state = night(state, how, week.service_day - today)
        passages.append(float(readiness(steps, state)[0, steps.whole]))
    return means.of_hymn(other, passages, how)


def simpler_hymn(hymn: PracticeHymn, way: Way) -> PracticeHymn:
    """The hymn for hands alone: the left hand takes on what the pedal played."""
    passages = tuple(passage.played(way) for passage in hymn.passages)
    return replace(hymn, passages=passages, way=way)
