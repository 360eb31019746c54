from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.errors import OrganError
from suspirium.service.organ import Coupler, read_organ
from suspirium.service.organ.feet import feet_named, feet_words, known_pitches, octaves
from suspirium.service.organ.loudness import SILENCE, Sound, sound_of, together
from suspirium.service.organ.model import Stop
from tests.conftest import ROOT

ORGANS = sorted((ROOT / "examples" / "organs").glob("*.toml"))
SMALL = """
name = "Test"
couplers = ["Upper to Lower", "Lower to Feet", "Upper to Lower super"]
pistons = 2

[Lower]
compass = ["C2", "F6"]
stops = ["Principal 8 principal", "Mixture 1 1/3 + 1 mixture"]

[Upper]
enclosed = true
compass = ["C2", "F6"]
stops = ["Gedackt 8 stopped"]

[Feet]
pedal = true
compass = ["C2", "D4"]
stops = ["Subbass 16 stopped"]
"""


def test_the_whole_is_read() -> None:
    organ = read_organ(SMALL)
    assert [division.name for division in organ.manuals] == ["Lower", "Upper"]
    assert organ.pedal is not None
    assert (organ.pedal.lowest, organ.pedal.highest) == (36, 62)
    assert organ.division("Upper").enclosed
    assert organ.pistons == 2
    assert organ.couplers == (
        Coupler("Upper", "Lower"),
        Coupler("Lower", "Feet"),
        Coupler("Upper", "Lower", 1),
    )
    assert organ.couplers[2].name == "Upper to Lower super"
    assert organ.manuals[0].stops[1].feet == (Fraction(4, 3), Fraction(1))


@pytest.mark.parametrize("path", ORGANS, ids=lambda path: path.stem)
def test_the_example_organs_are_read(path) -> None:
    organ = read_organ(path.read_text("utf-8"))
    assert organ.manuals
    assert all(division.stops for division in organ.divisions)


def test_there_are_organs_with_and_without_pedal_and_pistons() -> None:
    organs = [read_organ(path.read_text("utf-8")) for path in ORGANS]
    assert {organ.pedal is None for organ in organs} == {True, False}
    assert {organ.pistons > 0 for organ in organs} == {True, False}
    assert {len(organ.manuals) for organ in organs} == {1, 2, 3}


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('name = "Test"', "", "no name"),
        ("Principal 8 principal", "Principal 7 principal", "no stop is at 7 foot"),
        ("Principal 8 principal", "Principal 8/0 principal", "is no pitch in feet"),
        ("Principal 8 principal", "Principal 8 trumpetish", "is no family"),
        ("Principal 8 principal", "Principal", "can't be read"),
        ("Principal 8 principal", "Principal 8 + 4 principal", "several ranks"),
        ('"Principal 8 principal"', "8", "can't be read"),
        ('["Subbass 16 stopped"]', "[]", "has no stops"),
        ('compass = ["C2", "D4"]', 'compass = ["D4", "C2"]', "are 0 keys; a pedalboard has"),
        ('compass = ["C2", "D4"]', 'compass = ["C2", "G6"]', "are 56 keys; a pedalboard has"),
        ('compass = ["C2", "F6"]', 'compass = ["C2", "C3"]', "13 keys; a manual has"),
        ('compass = ["C2", "F6"]', 'compass = ["C5", "C9"]', "no keyboard of an organ"),
        ('compass = ["C2", "F6"]', 'compass = ["H2", "F6"]', "is no key"),
        ('compass = ["C2", "F6"]', "", "has no compass"),
        ("pistons = 2", "pistons = -1", "how many registrations"),
        ("Upper to Lower super", "Choir to Lower", "which is no division here"),
        ("Upper to Lower super", "Everything", "can't be read"),
        ("enclosed = true", "enclosed = 3", "write true or false"),
        ("enclosed = true", "tremulants = 3", "no part of a division"),
        ("pistons = 2", "knobs = 2", "no part of an organ"),
        ("pedal = true", "pedal = false", "are 27 keys|many"),
        ("[Feet]", "[Feet", "not valid TOML"),
        ('"Mixture 1 1/3 + 1 mixture"', '"Principal 4 principal"', "two stops called"),
    ],
)
def test_faults_are_told_in_one_sentence(old: str, new: str, told: str) -> None:
    if told == "are 27 keys|many":
        assert read_organ(SMALL.replace(old, new, 1)).pedal is None  # a small third manual
        return
    with pytest.raises(OrganError, match=told) as caught:
        read_organ(SMALL.replace(old, new, 1))
    assert "\n" not in str(caught.value).rstrip() or told == "not valid TOML"


def test_an_organ_needs_a_manual() -> None:
    with pytest.raises(OrganError, match="no manual"):
        read_organ('name = "x"\n[P]\npedal = true\ncompass = ["C2", "D4"]\nstops = ["S 16 flute"]')


@given(st.sampled_from(sorted(known_pitches())))
def test_pitches_are_written_as_they_are_read(feet: Fraction) -> None:
    assert feet_named(feet_words(feet)) == feet


def test_octaves_of_eight_foot() -> None:
    assert [octaves(Fraction(feet)) for feet in (32, 16, 8, 4, 2, 1)] == [-2, -1, 0, 1, 2, 3]
    assert octaves(Fraction(8, 3)) is None


def rank(foot: str, family: str) -> Stop:
    return Stop("x", "y", (feet_named(foot),), family)  # type: ignore[arg-type]


def test_two_alike_are_three_decibels_louder() -> None:
    one = sound_of(rank("8", "principal"))
    assert together([one, one]).level_db - one.level_db == pytest.approx(3.01, abs=0.01)
    assert together([one, one]).brightness == pytest.approx(one.brightness)
    assert together([]) == SILENCE


def test_families_stand_in_their_order() -> None:
    levels = [sound_of(rank("8", f)).level_db for f in ("flute", "principal", "reed")]
    assert levels == sorted(levels)
    brightness = [
        sound_of(rank("8", family)).brightness for family in ("flute", "principal", "string")
    ]
    assert brightness == sorted(brightness)


def test_higher_ranks_are_brighter_and_a_mixture_breaks_back() -> None:
    heights = [sound_of(rank(foot, "principal")).brightness for foot in ("16", "8", "4", "2")]
    assert heights == sorted(heights)
    tiny = sound_of(Stop("x", "y", (Fraction(1, 4),), "mixture"))
    assert tiny.brightness < 5 + 0.01  # a quarter foot would lie five octaves up


def test_a_closed_box_softens() -> None:
    one = sound_of(rank("8", "soft reed"))
    assert one.softened(-10).level_db == pytest.approx(one.level_db - 10)
    assert isinstance(one.softened(-10), Sound)
