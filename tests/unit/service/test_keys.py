from __future__ import annotations

import pytest

from suspirium.errors import SuspiriumError
from suspirium.plan.build import plan_hymn
from suspirium.score.keynames import key_words
from suspirium.score.sounding import melody_tones
from suspirium.score.transpose import transposed
from suspirium.service.keys import limits_for, propose_key
from suspirium.service.singable import range_of
from tests.build import four_part, hymn


def proposal(music: str, key: str, **settings):
    return propose_key(plan_hymn(hymn(music, key=key)), **settings)


def test_a_hymn_within_range_keeps_its_key() -> None:
    found = proposal("D E F G | A A A2 | d B A G | F E D2 |]", "D")
    assert (found.semitones, found.proposed) == (0, found.printed)
    assert found.reason.startswith("The printed key suits")
    assert "from D4 to D5" in found.reason


def test_a_top_note_that_is_high_comes_down_a_tone() -> None:
    found = proposal("G A B c | d e d2 | c B A G | e d G2 |]", "G")
    assert (found.printed, found.proposed, found.semitones) == ("G major", "F major", -2)
    assert "because the top note E5 is high" in found.reason
    assert "to D5" in found.reason


def test_a_low_hymn_goes_up() -> None:
    found = proposal("C B, A, G, | F, G, A,2 | C D C A, | G, F, F,2 |]", "F")
    assert found.semitones > 0
    assert "the lowest note F3 is low" in found.reason


def test_early_voices_are_lower() -> None:
    music = "D E F G | A A A2 | d c B A | F E D2 |]"
    assert proposal(music, "D", early=True).semitones == -2
    assert "early in the day" in proposal(music, "D", early=True).reason


def test_elders_sing_lower() -> None:
    assert proposal("D E F G | A A A2 | d c B A | F E D2 |]", "D", people="elders").semitones < 0
    with pytest.raises(SuspiriumError, match="choose one of mixed, elders"):
        proposal("C D E F |]", "C", people="giants")


def test_the_pedal_is_kept_on_the_board() -> None:
    # a tone lower the bass would leave the pedalboard: less is worth it
    settings = {"metre": "4/4", "key": "D"}
    upper = ("D F A G | e F A2 |]", "A, D E F | G F E2 |]", "F, A, C D | B, A, G,2 |]")
    within = plan_hymn(four_part(*upper, "D, A,, D, C, | D, A,, D,2 |]", **settings))
    beyond = plan_hymn(four_part(*upper, "D,, C,, =C,, ^C,, | D,, C,, D,,2 |]", **settings))
    assert propose_key(within).semitones == -2
    assert propose_key(beyond).semitones == 0


def test_the_proposed_key_is_that_of_the_transposed_hymn() -> None:
    plan = plan_hymn(hymn("G A B c | d e d2 | c B A G | e d G2 |]", key="G"))
    found = propose_key(plan)
    moved = transposed(plan.hymn, found.semitones)
    assert found.fifths == moved.keys[0].fifths
    assert found.proposed == key_words(moved.keys[0].fifths, moved.keys[0].mode)
    assert propose_key(plan_hymn(moved)).semitones == 0


def test_range_is_weighed_by_time() -> None:
    found = range_of(melody_tones(hymn("C3 d | C4 |]")))
    assert (found.low, found.high) == (60, 74)
    assert found.mean == pytest.approx((60 * 7 + 74) / 8)
    assert found.above(72) == pytest.approx(1 / 8)
    strain = found.moved(2).strain(limits_for("mixed"))
    assert strain["top"] == 2
    assert strain["above"] == pytest.approx(1.25)


def test_effort_speaks_against_a_key_but_never_for_leaving_one() -> None:
    from suspirium.service.keys import _effort_told, _harder

    efforts = {0: 2.0, -2: 3.0, -3: 1.5}
    assert _harder(efforts, -2) > _harder(efforts, -3) == _harder(efforts, 0) == 0
    assert _harder(efforts, -1) == float("inf")
    assert _effort_told(efforts, -2).endswith("more to do (effort 3.0 in place of 2.0)")
    assert "less to do" in _effort_told(efforts, -3)
    assert _effort_told({0: 2.0, -2: 2.1}, -2) == ""


def test_effort_is_reckoned_only_where_a_move_is_thought_of(monkeypatch) -> None:
    import suspirium.technique as technique

    def never(*_):
        raise AssertionError

    monkeypatch.setattr(technique, "find_technique", never)
    comfortable = hymn("C D E F | G A G F | E D C2 |]", key="F")
    assert propose_key(plan_hymn(comfortable)).semitones == 0
    high = hymn("c d e f | g a g f | e d c2 |]")
    with pytest.raises(AssertionError):
        propose_key(plan_hymn(high))
