from __future__ import annotations

from fractions import Fraction

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.plan.model import Decision, Tempo
from suspirium.plan.motion import bass_leap, chord_onsets, densest, melisma_step
from suspirium.plan.tempo import adjustment, choose_tempo
from suspirium.room import Room
from suspirium.score.reading import read
from suspirium.tables import load
from tests.build import MEDIUM_ROOM, four_part, hymn
from tests.conftest import PARISH

BROAD = "C2 D2 | E2 D2 | C4 |"
LINE = ((Fraction(0), Fraction(16)),)


def test_the_quick_part_sets_a_hymn_that_opens_broadly() -> None:
    calm = choose_tempo(hymn(BROAD + "E2 F2 | G4 |]"), LINE, MEDIUM_ROOM, 100)
    quick = choose_tempo(hymn(BROAD + "E/F/G/F/ E/D/C/D/ | E4 |]"), LINE, MEDIUM_ROOM, 100)
    assert quick.value.quarter_bpm < calm.value.quarter_bpm
    assert quick.bound_by.startswith("syllables")
    assert "measure 4" in quick.reason
    per_s = quick.value.quarter_bpm * 2 / 60
    assert per_s <= load("tempo").number("syllables.run_per_s")


CALM = "C2 D2 | E2 F2 | G2 A2 | G2 F2 | E2 D2 | C4 |]"


def _with_a_line_of(share: Fraction) -> tuple[float, Decision[Tempo]]:
    """The tempo by custom, and that for a line so many times what one breath holds then."""
    calm = choose_tempo(hymn(CALM), ((Fraction(0), Fraction(8)),), MEDIUM_ROOM, 100)
    custom = calm.value.quarter_bpm
    longest_q = Fraction(custom) * Fraction(load("tempo").number("breath.longest_s")) / 60
    line = ((Fraction(0), longest_q * share),)
    return custom, choose_tempo(hymn(CALM), line, MEDIUM_ROOM, 100)


def test_a_long_line_keeps_it_moving() -> None:
    custom, tempo = _with_a_line_of(Fraction(21, 20))
    assert tempo.bound_by.startswith("breath")
    assert tempo.value.quarter_bpm == pytest.approx(custom * 1.05, abs=1)


def test_an_endless_line_quickens_no_further_than_custom_bears() -> None:
    custom, tempo = _with_a_line_of(Fraction(2))
    most = 1 + load("tempo").number("breath.most_quicker")
    assert tempo.value.quarter_bpm == pytest.approx(custom * most, abs=1)
    assert "breathe once more" in tempo.reason


def test_where_both_contradict_the_quick_notes_win_and_a_breath_is_advised() -> None:
    music = "C/D/E/F/ G/A/G/F/ | " * 8 + "C4 |]"
    tempo = choose_tempo(hymn(music), ((Fraction(0), Fraction(36)),), MEDIUM_ROOM, 100)
    assert tempo.bound_by.startswith("syllables")


@pytest.mark.parametrize("path", sorted(PARISH.glob("*.abc")), ids=lambda path: path.stem)
def test_the_choice_lies_in_its_window_and_below_every_ceiling(path) -> None:
    tempo = plan_hymn(read(path.read_bytes(), path.name)).tempo.value
    assert tempo.low_quarter_bpm <= tempo.quarter_bpm <= tempo.high_quarter_bpm
    for bound in tempo.bounds:
        if bound.side == "high":
            assert tempo.quarter_bpm <= bound.quarter_bpm


def test_rooms_and_singers_move_it_as_customary() -> None:
    """Common practice: slower in a live room and with many, a little quicker with few."""
    assert adjustment(Room(1.5, 10), 100) == 1
    assert adjustment(Room(3.5, 10), 100) == pytest.approx(1 - 0.06)
    assert adjustment(Room(0.8, 10), 100) == pytest.approx(1.04)
    assert adjustment(Room(1.5, 10), 300) == pytest.approx(0.97)
    assert adjustment(Room(1.5, 10), 10) > 1
    assert adjustment(Room(12, 10), 5000) == pytest.approx(0.85)


def test_chords_must_clear_in_a_cathedral() -> None:
    quick = "G A B c | d c B A | G A B c | d4 |]"
    score = four_part(quick, "D D D E | F E D D | D D D E | F4 |]",
                      "B, A, G, G, | A, G, G, F, | B, A, G, G, | A,4 |]",
                      "G, F, E, C, | D, C, G, D, | G, F, E, C, | D,4 |]")  # fmt: skip
    live = choose_tempo(score, LINE, Room(6.0, 30), 100)
    assert live.bound_by.startswith("room")
    assert live.value.quarter_bpm < choose_tempo(score, LINE, MEDIUM_ROOM, 100).value.quarter_bpm


def test_motion_is_measured() -> None:
    run = densest((Fraction(0), Fraction(1), Fraction(3, 2), Fraction(2), Fraction(5)), 2)
    assert run is not None
    assert (run.onset_q, run.span_q, run.step_q) == (1, 1, Fraction(1, 2))
    assert densest((Fraction(0),), 2) is None
    step = melisma_step(hymn("C (D/E/) F2 |]"))
    assert step is not None
    assert step.span_q == Fraction(1, 2)
    score = four_part("G G A G |]", "E E F E |]", "C C C C |]", "C, C,, F, C, |]")
    leap = bass_leap(score, 7)
    assert leap is not None
    assert leap[0].onset_q == 0
    assert chord_onsets(score) == (2, 3)
