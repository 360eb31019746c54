"""The running record replayed: practice raises, time lowers, takes correct."""

from __future__ import annotations

import pytest

from suspirium.practice.model import PracticeHymn
from suspirium.practice.record import Done, Event, Heard, Said, known_by, pace_of, ready_now
from suspirium.practice.settings import learning
from suspirium.practice.values import passage_from, passage_values
from tests.unit.practice.build import passage

HOW = learning()
PASSAGES = (passage(1), passage(2))
DAY = 739_000


def ready(events: list[Event], today: int = DAY) -> float:
    known = known_by(PASSAGES, "all", events, today, HOW)
    return ready_now(PracticeHymn("Hymn", "h", PASSAGES, known), HOW)


def evening(day: int, went: str = "clean") -> list[Event]:
    parts = (("tune",), ("pedal",), ("left",), ("right",), ("right", "left", "pedal"))
    return [Done(day, first, first + 1, part, 4, went) for first in (1, 3) for part in parts]


def test_practice_raises_and_faulty_practice_raises_less() -> None:
    nothing, faulty, clean = ready([]), ready(evening(DAY, "faulty")), ready(evening(DAY))
    assert nothing < faulty < clean


def test_time_lowers_what_is_known() -> None:
    events = [Said(DAY, "known")]
    kept = [ready(events, DAY + days) for days in (0, 30, 365, 3650)]
    assert kept == sorted(kept, reverse=True)
    assert kept[-1] < 0.5 * kept[0]


def test_what_is_not_yet_done_does_not_count() -> None:
    assert ready(evening(DAY + 1)) == ready([])


def test_a_take_moves_the_readiness_towards_what_it_shows() -> None:
    before = [Said(DAY, "known")]
    bad = [*before, Heard(DAY, ((1, 4, 0.2),))]
    good = [*before, Heard(DAY, ((1, 4, 0.98),))]
    assert ready(bad) < ready(before) < ready(good)


def test_a_take_of_some_lines_leaves_the_others() -> None:
    known = known_by(PASSAGES, "all", [Said(DAY, "known"), Heard(DAY, ((1, 2, 0.2),))], DAY, HOW)
    alone = known_by(PASSAGES, "all", [Said(DAY, "known")], DAY, HOW)
    assert known[1] == alone[1]
    assert known[0] != alone[0]


def test_takes_move_the_pace_within_its_range() -> None:
    def pace(heard: float, takes: int = 3) -> float:
        events: list[Event] = [
            event
            for n in range(takes)
            for event in (*evening(DAY + n), Heard(DAY + n, ((1, 4, heard),)))
        ]
        return pace_of([(PASSAGES, "all", events)], DAY + takes, HOW)

    assert pace_of([(PASSAGES, "all", evening(DAY))], DAY, HOW) == 1
    assert 0.5 <= pace(0.05, 30) < pace(0.3) < 1
    assert 1 < pace(0.97) <= 2


def test_passages_come_back_from_their_values() -> None:
    assert passage_from(passage_values(PASSAGES[0])) == PASSAGES[0]


@pytest.mark.parametrize("level", ["new", "seen", "known", "secure"])
def test_what_is_said_last_holds(level: str) -> None:
    assert ready([Said(DAY, "secure"), Said(DAY, level)]) == ready([Said(DAY, level)])
