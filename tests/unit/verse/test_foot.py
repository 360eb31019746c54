"""The stress foot of a text."""

from __future__ import annotations

import pytest

from suspirium.verse.foot import foot
from suspirium.verse.readings import usual
from suspirium.verse.words import words_of

POEMS = {
    "iambic": ["The kettle sings upon the hob", "the cat lies down beside the door"],
    "trochaic": ["Summer evening, slowly falling", "over meadow, farm and river"],
    "dactylic": ["Merrily, merrily over the water now", "carry the lanterns and follow the melody"],
    "anapaestic": ["At the end of the lane there is nobody there", "but a boy with a dog"],
}


def rows(lines: list[str]) -> list[list[tuple[str, int]]]:
    return [[(word.sung, usual(word.sung)) for word in words_of(line)] for line in lines]


@pytest.mark.parametrize("name", POEMS)
def test_each_foot_is_heard(name: str) -> None:
    found = foot([rows(POEMS[name])])
    assert found is not None
    assert found.name == name
    assert 0.25 < found.confidence <= 1


def test_more_stanzas_that_agree_make_it_surer() -> None:
    one, three = (foot([rows(POEMS["iambic"])] * times) for times in (1, 3))
    assert one is not None
    assert three is not None
    assert three.confidence > one.confidence


def test_lines_of_two_kinds_are_mixed() -> None:
    lines = [POEMS["iambic"][0], POEMS["trochaic"][0]] * 2
    found = foot([rows(lines)] * 6)
    assert found is not None
    assert found.name == "mixed"


def test_no_words_or_an_unknown_language_have_no_foot() -> None:
    assert foot([]) is None
    assert foot([[[]]]) is None
    assert foot([rows(POEMS["iambic"])], "fr") is None
