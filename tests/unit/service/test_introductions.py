from __future__ import annotations

from fractions import Fraction

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.service.introductions import propose_introductions
from suspirium.service.introductions.candidates import candidates
from suspirium.service.introductions.costs import Judge, cost
from suspirium.service.introductions.tune import tune_of
from suspirium.tables import load
from tests.build import four_part, hymn
from tests.conftest import PARISH

# four lines of two bars; the second and the last close on the tonic
TUNE = "C E G E | D D D2 | E G c A | G F E2 | G A G E | F A G2 | c G F E | D D C2 |]"
WORDS = (
    "1.~One two three four, five six sev'n; eight nine ten ten, twelve ten tens. "
    "Two four six eight, one three five, four three two two one one one.",
)


def plans(music: str, **settings):
    return plan_hymn(hymn(music, words=WORDS, **settings))


@pytest.mark.parametrize("path", sorted(PARISH.glob("*.abc")), ids=lambda path: path.stem)
def test_choices_are_of_different_shapes_best_first(path) -> None:
    plan = plan_hymn(read(path.read_bytes(), path.name))
    found = propose_introductions(plan)
    assert [one.cost for one in found] == sorted(one.cost for one in found)
    assert len({one.shape for one in found}) == len(found)
    onsets = {note.onset_q for note in plan.hymn.melody.notes}
    ends = {phrase.last_onset_q for phrase in plan.phrases}
    for one in found:
        assert one.reason.startswith("Play ")
        assert one.reason.endswith(".")
        for piece in one.pieces:
            assert piece.first_onset_q in onsets
            assert piece.last_onset_q in ends
            assert piece.first_onset_q < piece.last_onset_q


def test_seconds_are_those_of_the_plan() -> None:
    plan = plans(TUNE)
    whole = next(one for one in propose_introductions(plan) if one.shape == "whole tune")
    written_q = Fraction(32) - plan.phrases[-1].written_q + plan.gap.value.hold_q
    assert whole.seconds == pytest.approx(float(written_q) * 60 / plan.tempo.value.quarter_bpm)


def test_an_open_end_is_never_the_first_choice() -> None:
    open_ended = four_part(
        "C E G E | D D D2 | E G c A | G F E2 | G A G E | F A G2 | c G F E | D D D2 |]",
        "C C C C | B, B, B,2 | C E E F | E D C2 | C C C C | C C C2 | E E C C | A, A, B,2 |]",
        "G, G, G, G, | G, G, G,2 | G, C C C | C B, C2 | C C C C | C C C2 | C C A, A, |"
        " F, F, G,2 |]",
        "C, C, C, C, | G, G, G,2 | C, C, C, F, | G, G,, C,2 | C, C, C, C, | F, F, C,2 |"
        " A, E, F, F, | D, D, G,,2 |]",
    )
    first = propose_introductions(plan_hymn(open_ended))[0]
    assert "stays open" not in first.reason
    assert "closing on the tonic" in first.reason


def test_a_minor_hymn_under_a_major_signature_is_heard_in_minor() -> None:
    minor = four_part(
        "A B c B | A A ^G2 | A c B A | A ^G A2 |]",
        "E E E E | E D E2 | E E D F | E E E2 |]",
        "C B, A, B, | C A, B,2 | C A, B, D | C B, C2 |]",
        "A, G, A, G, | A, F, E,2 | A, A, G, D, | E, E, A,,2 |]",
    )
    assert tune_of(plan_hymn(minor)).tonic == 9


def test_the_printed_tonic_holds_where_the_close_is_on_another_chord() -> None:
    major = four_part(
        "C E G E | D D C2 || E G c A | G A G2 |]",
        "C C C C | C B, C2 || C E E E | E D D2 |]",
        "G, G, G, G, | A, G, E,2 || G, C C C | C C B,2 |]",
        "C, C, E, C, | F, G, C,2 || C, C, A,, A,, | C, ^F, G,2 |]",
    )
    assert tune_of(plan_hymn(major)).tonic == 0


def test_a_written_out_refrain_that_closes_beats_an_open_stanza_end() -> None:
    major = four_part(
        "C E G E | D D C2 || E G c A | G A G2 |]",
        "C C C C | C B, C2 || C E E E | E D D2 |]",
        "G, G, G, G, | A, G, E,2 || G, C C C | C C B,2 |]",
        "C, C, E, C, | F, G, C,2 || C, C, A,, A,, | C, ^F, G,2 |]",
    )
    plan = plan_hymn(major)
    first = propose_introductions(plan)[0]
    assert first.last_onset_q == Fraction(6)


def test_every_count_has_its_cost() -> None:
    rows = {row.key for row in load("introduction") if row.key.startswith("cost.")}
    plan = plans(TUNE)
    tune = tune_of(plan)
    counts = Judge(tune).counts(candidates(tune)[0])
    assert {f"cost.{name}" for name in counts} == rows
    assert cost(dict.fromkeys(counts, 0.0)) == 0


def test_a_hymn_of_one_line_is_played_whole() -> None:
    plan = plan_hymn(hymn("C D E F | G2 G2 | F E D2 | C4 |]"))
    shapes = [one.shape for one in propose_introductions(plan)]
    assert "whole tune" in shapes
