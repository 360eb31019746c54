"""Poetic metre of texts and of tunes with words."""

from __future__ import annotations

import json

import pytest

from suspirium.desk.planning import plan_file
from suspirium.plan.verse_facts import plan_metre
from suspirium.verse.metre import as_printed, metre_name, text_metre
from suspirium.verse.readings import line_readings
from tests.conftest import HYMNS, PARISH


@pytest.mark.parametrize(
    ("name", "metre"),
    [
        ("fallowmere", "8.6.8.6"),
        ("netherwick", "8.7.8.7"),
        ("osmerley", "8.8.8.8"),
        ("quillerby", "6.6.8.8.6"),
    ],
)
def test_the_parish_has_the_metres_its_words_were_written_in(name: str, metre: str) -> None:
    assert plan_metre(plan_file(PARISH / f"{name}.abc")) == metre


def test_names_are_those_of_metrical_indexes() -> None:
    """Common practice."""
    assert metre_name((8, 6, 8, 6)) == "common metre"
    assert metre_name((8, 8, 8, 8)) == "long metre"
    assert metre_name((6, 6, 8, 6)) == "short metre"
    assert metre_name((8, 6, 8, 6) * 2) == "common metre doubled"
    assert metre_name((8, 7, 8, 7) * 2) == "8.7.8.7 D"
    assert metre_name((11, 10, 11, 10)) == "11.10.11.10"


def test_plain_text_is_counted() -> None:
    stanzas = [
        ["The kettle sings upon the hob,", "the cat lies by the door,"],
        ["The wind has nothing left to rob", "and will not blow once more."],
    ]
    found = text_metre(stanzas)
    assert found is not None
    assert found.lines == (8, 6)
    assert found.agreement == 1


def test_a_line_is_read_so_that_it_has_its_syllables() -> None:
    words = ("the", "heaven", "is", "glorious")
    assert line_readings(words, 6) == (1, 2, 1, 2)
    assert line_readings(words, 7) == (1, 2, 1, 3)
    assert line_readings(words, 5) == (1, 1, 1, 2)
    assert line_readings(words, 2) is None
    assert line_readings((), 0) == ()


def test_short_lines_are_joined_only_into_a_known_metre() -> None:
    assert as_printed((8, 6, 8, 6, 4, 4, 6, 8, 6)) == (8, 6, 8, 6, 8, 6, 8, 6)
    assert as_printed((6, 6, 11, 6, 6, 11)) == (6, 6, 11, 6, 6, 11)
    assert as_printed((4, 4, 5)) == (4, 4, 5)


def test_a_metre_that_repeats_itself_but_for_joined_lines_is_the_repeated_one() -> None:
    assert as_printed((8, 8, 4, 4, 6, 8, 8, 8, 6)) == (8, 8, 4, 4, 6) * 2
    assert as_printed((8, 8, 4, 4, 6, 8, 8, 9, 5)) == (8, 8, 4, 4, 6, 8, 8, 9, 5)
    assert as_printed((4, 4, 9, 9)) == (4, 4, 9, 9)


def test_real_hymns_have_their_printed_metre(hymn_labels: dict[str, dict[str, object]]) -> None:
    """The Open Hymnal (2013 edition, public domain): printed metres of its hymns.

    Labels whose figures are not those of its words (their sum differs) have none here.
    """
    names = [name for name, label in hymn_labels.items() if label.get("metre")][::4]
    right = sum(
        plan_metre(plan_file(HYMNS / f"{name}.abc")) == hymn_labels[name]["metre"] for name in names
    )
    assert right >= 0.9 * len(names), json.dumps(names)
