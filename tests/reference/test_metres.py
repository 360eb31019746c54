"""Poetic metres against their published definitions.

Names and numbers of syllables: "Metre (hymn)", Wikipedia, and common practice of metrical
indexes; the sums are arithmetic.
"""

from __future__ import annotations

import pytest

from suspirium.plan.phrases import find_phrases
from suspirium.score.reading import read
from suspirium.tables import load
from tests.conftest import HYMNS, PARISH

METRES = [
    ("short metre", "6.6.8.6", 4, 26),
    ("common metre", "8.6.8.6", 4, 28),
    ("long metre", "8.8.8.8", 4, 32),
    ("hallelujah metre", "6.6.6.6.8.8", 6, 40),
    ("common particular metre", "8.8.6.8.8.6", 6, 44),
    ("8.7.8.7", "8.7.8.7", 4, 30),
    ("7.6.7.6", "7.6.7.6", 4, 26),
    ("8.7.8.7.8.7", "8.7.8.7.8.7", 6, 45),
    ("sixes and fours", "6.6.4.6.6.6.4", 7, 38),
    ("8.8.8.8.8.8", "8.8.8.8.8.8", 6, 48),
    ("sevens", "7.7.7.7", 4, 28),
    ("tens", "10.10.10.10", 4, 40),
    ("elevens", "11.11.11.11", 4, 44),
    ("10.10.11.11", "10.10.11.11", 4, 42),
    ("14.14.4.7.8", "14.14.4.7.8", 5, 47),
    ("11.12.12.10", "11.12.12.10", 4, 45),
]


@pytest.mark.parametrize(("name", "metre", "lines", "syllables"), METRES)
def test_the_metres_known_to_the_phrases(name: str, metre: str, lines: int, syllables: int) -> None:
    numbers = [int(number) for number in metre.split(".")]
    assert (len(numbers), sum(numbers)) == (lines, syllables), name
    assert metre in load("phrases")["metres"], name


def _syllables(path) -> list[int]:
    hymn = read(path.read_bytes(), path.name)
    sung = hymn.stanzas[0].syllables
    return [
        sum(span.first_onset_q <= s.onset_q <= span.last_onset_q for s in sung)
        for span in find_phrases(hymn)
    ]


@pytest.mark.parametrize(
    ("stem", "metre"),
    [
        ("fallowmere", [8, 6, 8, 6]),
        ("netherwick", [8, 7, 8, 7]),
        ("osmerley", [8, 8, 8, 8]),
    ],
)
def test_the_parishs_metres_are_found(stem: str, metre: list[int]) -> None:
    assert _syllables(PARISH / f"{stem}.abc") == metre


def test_printed_metres_of_real_hymns_are_found(hymn_labels) -> None:
    """The metre printed with a hymn of an open collection, syllables counted off in stanza 1."""
    printed = {
        stem: [int(n) for n in label["metre"].split(".")]
        for stem, label in hymn_labels.items()
        if "line_ends" in label and label.get("metre", "").replace(".", "").isdigit()
    }
    right = sum(_syllables(HYMNS / f"{stem}.abc") == metre for stem, metre in printed.items())
    assert len(printed) > 60
    assert right / len(printed) > 0.8
