"""Rules of registration, checked anew on what is proposed, for three organs and real plans."""

from __future__ import annotations

import itertools
from collections import Counter
from fractions import Fraction

import pytest

from suspirium.errors import OrganError
from suspirium.plan.build import plan_hymn
from suspirium.room import Room
from suspirium.score.reading import read
from suspirium.service.organ import Organ, Stop, read_organ
from suspirium.service.registration import StanzaRegistration, propose_registration
from suspirium.service.registration.candidates import candidates
from suspirium.service.registration.changes import change, hand_s
from suspirium.service.registration.chorus import choruses, faults
from suspirium.service.registration.propose import ServiceSetting
from suspirium.service.registration.solve import pistons_used
from suspirium.service.registration.steps import people_step, step_levels_db
from suspirium.verse.character import mood_of
from tests.build import hymn
from tests.conftest import PARISH, ROOT

ORGANS = {
    path.stem: read_organ(path.read_text("utf-8"))
    for path in sorted((ROOT / "examples" / "organs").glob("*.toml"))
}
PLANS = {path.stem: plan_hymn(read(path.read_bytes(), path.name)) for path in PARISH.glob("*.abc")}
WORDS = (
    "1.~O sing and praise and shout for joy and glo- ry;",
    "2.~The night of death, the grave and tears and sor- row.",
    "3.~The road goes on by hill and stream and mead- ow.",
    "4.~The night is dark, the tomb is cold and si- lent.",
)
MUSIC = "C D | E F G A | G E C D | E D C2 |]"


def sung(stanzas: int = 4, **settings):
    return plan_hymn(hymn(MUSIC, words=WORDS[:stanzas]), **settings)


def unisons(stops: tuple[Stop, ...]) -> set[Fraction]:
    plain = ("principal", "flute", "stopped", "string")
    return {stop.foot for stop in stops if stop.family in plain}


@pytest.mark.parametrize("organ", ORGANS.values(), ids=ORGANS)
@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_the_rules_are_kept(plan, organ: Organ) -> None:
    rows = propose_registration(plan, organ)
    assert [row.stanza for row in rows] == [0, *plan.stanza_numbers]
    for row in rows:
        check_stops(row, organ)
        if not row.registration.solo:
            check_chorus(row, organ)
        check_pedal(row, organ)
    check_changes(rows, plan, organ)


def check_stops(row: StanzaRegistration, organ: Organ) -> None:
    of_organ = {stop for division in organ.divisions for stop in division.stops}
    assert set(row.registration.stops) <= of_organ
    assert set(row.registration.couplers) <= set(organ.couplers)
    assert len(set(row.registration.stops)) == len(row.registration.stops)


def check_chorus(row: StanzaRegistration, organ: Organ) -> None:
    coupled = [c.source for c in row.registration.couplers if c.target == row.registration.main]
    for division in (row.registration.main, *coupled):
        stops = row.registration.of(division)
        heard = unisons(stops)
        assert 8 in heard
        assert not (2 in heard and 4 not in heard)
        assert not (1 in heard and 2 not in heard)
        assert not any(stop.family == "celeste" for stop in stops)
        for stop in stops:
            if stop.family in ("mutation", "mixture", "cornet", "reed", "soft reed"):
                assert {8, 4} <= heard
        crowd = Counter(stop.foot for stop in stops if stop.family in ("principal", "flute"))
        assert crowd[Fraction(8)] <= 3
        assert crowd[Fraction(2)] <= 1


def check_pedal(row: StanzaRegistration, organ: Organ) -> None:
    if not row.registration.pedal:
        return
    assert organ.pedal is not None
    feet = unisons(row.registration.of(organ.pedal.name))
    assert 16 in feet  # an octave below the manual's 8 foot


def check_changes(rows, plan, organ: Organ) -> None:
    budget_s = plan.gap.value.silence_s
    for before, after in itertools.pairwise(rows):
        assert after.seconds <= budget_s + 1e-9
        assert after.by_piston <= (organ.pistons > 0)
        assert before.stanza == 0 or abs(after.step - before.step) <= 2.0 + 1e-6
        drawn = {
            name if " to " in name else f"{division} {name}"
            for division, name in after.registration.controls
        }
        assert set(after.draw) <= drawn
        assert not set(after.put_in) & drawn or after.registration.divisions
    wanted = {row.registration for row in rows if row.by_piston}
    assert len(wanted) <= organ.pistons


def test_character_is_told_by_words() -> None:
    assert mood_of("Glory, glory, alleluia, praise and joy").character == "great"
    assert mood_of("The grave, the tomb, the night, and tears").character == "still"
    assert mood_of("The road goes on").character == "plain"
    assert mood_of("In death and glory").character == "plain"
    assert mood_of("Lob und Preis und Ehre, Licht und Freude", "de").character == "great"


def test_bright_stanzas_are_stronger_than_dark_ones() -> None:
    rows = propose_registration(sung(), ORGANS["netherwick"])
    steps = {row.stanza: row.step for row in rows}
    assert steps[1] > steps[3] > steps[2]
    assert rows[1].level_db > rows[2].level_db
    assert "“praise”" in rows[1].reason


def test_the_organist_sets_a_character() -> None:
    organ = ORGANS["netherwick"]
    plain = propose_registration(sung(), organ)
    set_ = propose_registration(sung(), organ, ServiceSetting(characters={3: "great"}))
    assert set_[3].step > plain[3].step
    assert "you call this stanza great" in set_[3].reason.lower()
    with pytest.raises(OrganError, match="no stanza 9"):
        propose_registration(sung(), organ, ServiceSetting(characters={9: "great"}))
    with pytest.raises(OrganError, match="not 'loud'"):
        propose_registration(sung(), organ, ServiceSetting(characters={1: "loud"}))
    with pytest.raises(OrganError, match="choose opening"):
        propose_registration(sung(), organ, ServiceSetting(place="bells"))


def test_more_people_take_more() -> None:
    organ = ORGANS["netherwick"]
    means = [
        sum(row.step for row in propose_registration(sung(singers=singers), organ))
        for singers in (15, 60, 150, 400)
    ]
    assert means == sorted(means)
    assert means[0] < means[-1]
    assert people_step(15) < people_step(60) < people_step(150) < people_step(10**7)


def test_closing_hymns_take_more_and_a_long_room_less() -> None:
    organ = ORGANS["netherwick"]

    def asked(place: str, rt_s: float) -> float:
        plan = sung(room=Room(rt_s, 15.0))
        return propose_registration(plan, organ, ServiceSetting(place))[3].asked

    assert asked("prayer", 1.8) < asked("middle", 1.8) < asked("closing", 1.8)
    assert asked("middle", 4.0) < asked("middle", 1.8) < asked("middle", 0.8)


def test_a_new_tune_is_introduced_as_a_solo() -> None:
    rows = propose_registration(sung(), ORGANS["netherwick"], ServiceSetting(new_tune=True))
    solo = rows[0].registration
    assert solo.solo not in ("", solo.main)
    over = solo.sound(solo.solo).level_db - solo.sound(solo.main).level_db
    assert 3 <= over <= 9  # about 6 dB
    assert not any(row.registration.solo for row in rows[1:])
    alone = propose_registration(sung(), ORGANS["osmerley"], ServiceSetting(new_tune=True))
    assert not alone[0].registration.solo


def test_pistons_are_not_used_beyond_their_number() -> None:
    organ = ORGANS["netherwick"]
    few = Organ(organ.name, organ.divisions, organ.couplers, pistons=1)
    for plan in PLANS.values():
        rows = propose_registration(plan, few)
        assert len({row.registration for row in rows if row.by_piston}) <= 1


def test_an_organ_without_pistons_is_changed_by_hand() -> None:
    for plan in PLANS.values():
        rows = propose_registration(plan, ORGANS["quillerby"])
        assert not any(row.by_piston for row in rows)


def test_the_row_is_the_cheapest_of_all(monkeypatch) -> None:
    """Against every row of three stages on a small organ, counted one by one."""
    from itertools import product

    from suspirium.service.registration import solve as solving
    from suspirium.service.registration.solve import Stage, solve
    from suspirium.tables import load

    organ = ORGANS["osmerley"]
    found = candidates(organ)
    stages = [Stage(0, 1.5, 2.0, 0.3, 0.0), Stage(1, 2.4, 1.0, 1.5), Stage(2, 0.5, 1.0, 1.5)]
    table = load("registration")

    def cost(row) -> float:
        total = 0.0
        for place, (stage, one) in enumerate(zip(stages, row, strict=True)):
            total += one.cost + table.number("cost.step") * (one.step - stage.asked) ** 2
            if place:
                before = row[place - 1]
                moved = change(organ, before.registration, one.registration, 1.2)
                total += table.number("cost.reach") * max(0.0, hand_s(moved.moves) - 1.2)
                total += table.number("cost.change") * moved.moves
                beyond = max(0.0, abs(one.step - before.step) - stage.reach)
                total += table.number("cost.too_far") * beyond
                if one is before:
                    total += table.number("cost.same")
        return total

    best = min(product(found, repeat=3), key=cost)
    assert cost(solve(organ, stages, found, 1.2)) == pytest.approx(cost(best))
    assert pistons_used(organ, best, 10.0) == 0
    assert solving.MOST_ROUNDS > 1


def test_choruses_keep_the_rules_and_faults_are_told() -> None:
    great = ORGANS["netherwick"].division("Great")
    found = choruses(great)
    assert len(found) > 10
    assert not any(list(faults(chorus.stops, great)) for chorus in found)
    by_name = {stop.name: stop for stop in great.stops}

    def told(*names: str) -> list[str]:
        return list(faults([by_name[name] for name in names], great))

    assert told("Principal") == ["nothing sounds at 8 foot"]
    assert told("Open Diapason", "Fifteenth") == ["a pitch is left out"]
    assert "without the pitches below" in told("Open Diapason", "Twelfth")[0]
    assert "reed" in told("Open Diapason", "Trumpet")[0]
    assert told("Open Diapason", "Bourdon") == ["16 foot without 4 foot is thick"]
    assert told("Open Diapason", "Principal", "Twelfth") == []
    assert "without the pitches" in told("Open Diapason", "Principal", "Mixture")[0]


def test_the_crescendo_rises() -> None:
    levels = step_levels_db()
    assert len(levels) == 5
    assert list(levels) == sorted(levels)
    assert min(b - a for a, b in itertools.pairwise(levels)) > 0.3


def test_an_organ_without_eight_foot_can_not_lead() -> None:
    organ = read_organ(
        'name = "x"\n[Manual]\ncompass = ["C2", "F6"]\nstops = ["Flute 4 flute", "Octave 2 flute"]'
    )
    with pytest.raises(OrganError, match="no manual with a stop at 8 foot"):
        propose_registration(sung(), organ)


def test_what_stands_in_for_a_missing_stop_is_told() -> None:
    """The chapel has no principal at 8 foot: its gedackt leads, and the reason says so."""
    rows = propose_registration(sung(singers=40), ORGANS["osmerley"])
    assert all("principal 8" in row.reason for row in rows)
    assert not any(
        "has not" in row.reason for row in propose_registration(sung(), ORGANS["netherwick"])
    )
