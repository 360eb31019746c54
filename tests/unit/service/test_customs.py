from __future__ import annotations

from dataclasses import replace

import pytest

from suspirium.plan.build import plan_hymn
from suspirium.score.reading import read
from suspirium.score.transpose import transposed
from suspirium.service.customs import broken_customs
from suspirium.service.order import HymnMoment, Moment, Order
from suspirium.service.relations import relation
from suspirium.service.served import serve
from suspirium.service.whole import whole_service
from tests.build import hymn
from tests.conftest import PARISH

SCORES = {path.stem: read(path.read_bytes(), path.name) for path in PARISH.glob("*.abc")}


def served(name: str = "fallowmere", **asked):
    return serve(HymnMoment(name, **asked), plan_hymn(SCORES[name]), None)


def in_key(key: str, unit: str = "1/4"):
    return plan_hymn(hymn("C D E F | G4 |]", key=key, unit=unit))


def test_the_same_hymn_twice_breaks_no_custom() -> None:
    assert broken_customs([served(), served()]) == ()
    assert broken_customs([]) == ()


def test_unlike_gaps_are_told_with_both_hymns() -> None:
    one, other = served("fallowmere"), served("osmerley")
    gap = other.plan.gap
    longer = replace(gap, value=replace(gap.value, silence_s=gap.value.silence_s + 1.5))
    far = replace(other, plan=replace(other.plan, gap=longer))
    told = broken_customs([one, far])
    assert any("people learn one gap" in text and one.title in text for text in told)
    assert not any("people learn one gap" in text for text in broken_customs([one, other]))


def test_a_missing_introduction_is_told_unless_none_has_one() -> None:
    told = broken_customs([served(), served("osmerley", introduction=0)])
    assert any(text.startswith("No introduction before Now is the hour") for text in told)
    assert broken_customs([served(introduction=0), served(introduction=0)]) == ()


def test_amens_and_broad_endings_are_all_or_none() -> None:
    told = broken_customs([served(amen=True), served(), served(broaden=True)])
    assert sum("let people know" in text for text in told) == 2
    assert broken_customs([served(amen=True, broaden=True)] * 2) == ()


def test_one_tune_has_one_tempo() -> None:
    one = served()
    tempo = one.plan.tempo
    quicker = replace(tempo, value=replace(tempo.value, quarter_bpm=tempo.value.quarter_bpm * 1.2))
    other = replace(one, plan=replace(one.plan, tempo=quicker))
    assert any("one tune" in text for text in broken_customs([one, other]))


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("F", "F", "F major again"),
        ("F", "Dm", "with the same signature"),  # the relative minor
        ("C", "G", "a fifth higher"),
        ("C", "F", "a fourth higher"),
        ("C", "Bb", "a tone lower"),
        ("D", "F", "a minor third higher"),
        ("C", "F#", "a tritone away"),
        ("C", "Cm", "the same tonic"),
    ],
)
def test_keys_by_their_interval(before: str, after: str, told: str) -> None:
    assert relation(in_key(before), in_key(after)).keys.endswith(told)


def test_pulses_by_their_ratio() -> None:
    plan = in_key("C")
    same = relation(plan, plan)
    assert (same.pulse, same.pulse_ratio) == ("the same pulse", 1.0)
    tempo = plan.tempo
    quick = replace(
        plan,
        tempo=replace(tempo, value=replace(tempo.value, quarter_bpm=tempo.value.quarter_bpm * 1.5)),
    )
    bpm = plan.tempo.value.quarter_bpm / float(plan.pulse.value.unit_q)
    assert relation(plan, quick).pulse == f"a quicker pulse, {bpm:.0f} to {bpm * 1.5:.0f}"
    assert relation(plan, quick).pulse_ratio == pytest.approx(1.5)
    assert relation(quick, plan).pulse == f"a slower pulse, {bpm * 1.5:.0f} to {bpm:.0f}"


def test_times_add_up() -> None:
    hymns = [served(), served("osmerley")]
    order = Order("x", (HymnMoment("fallowmere"), Moment("Sermon", 2.5), HymnMoment("osmerley")))
    whole = whole_service(order, None, hymns)
    timed = list(whole.timed())
    assert [at for at, _, _ in timed] == pytest.approx(
        [0, hymns[0].played.seconds, hymns[0].played.seconds + 150]
    )
    assert whole.seconds == pytest.approx(sum(h.played.seconds for h in hymns) + 150)
    assert len(whole.relations) == 1


def test_a_hymn_in_another_key_lasts_as_long() -> None:
    plan = plan_hymn(transposed(SCORES["fallowmere"], -2))
    moved = serve(HymnMoment("x"), plan, None)
    assert moved.played.seconds == pytest.approx(served().played.seconds)
