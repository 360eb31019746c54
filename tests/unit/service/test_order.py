from __future__ import annotations

from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suspirium.errors import ServiceError
from suspirium.service.order import (
    HymnMoment,
    Moment,
    Order,
    moment_text,
    order_text,
    read_order,
)

SMALL = """
name = "Evening"
date = 2026-12-06
begins = 18:30:00
singers = 40
early = false

[[moments]]
hymn = "one.abc"
place = "opening"
stanzas = [1, 3]
key = -2
characters = { 3 = "quiet" }

[[moments]]
what = "Sermon"
minutes = 12
"""


def test_the_whole_is_read() -> None:
    order = read_order(SMALL)
    assert (order.name, order.on, order.begins) == ("Evening", date(2026, 12, 6), time(18, 30))
    hymn, sermon = order.moments
    assert hymn == HymnMoment("one.abc", "opening", (1, 3), key=-2, characters={3: "quiet"})
    assert sermon == Moment("Sermon", 12.0)
    assert order.hymns == (hymn,)


NAMES = st.text(st.characters(exclude_categories=("Cs",)), min_size=1).map(str.strip).filter(bool)
HYMNS = st.builds(
    HymnMoment,
    hymn=NAMES,
    place=st.sampled_from(["opening", "middle", "prayer", "communion", "closing"]),
    stanzas=st.lists(st.integers(1, 20), max_size=5).map(tuple),
    introduction=st.integers(0, 5),
    key=st.one_of(st.sampled_from(["printed", "proposed"]), st.integers(-12, 12)),
    amen=st.booleans(),
    broaden=st.booleans(),
    new_tune=st.booleans(),
    characters=st.dictionaries(st.integers(1, 9), st.sampled_from(["still", "great"]), max_size=2),
)
OTHERS = st.builds(Moment, what=NAMES, minutes=st.integers(0, 60).map(float))
ORDERS = st.builds(
    Order,
    name=NAMES,
    moments=st.lists(st.one_of(HYMNS, OTHERS), max_size=4).map(tuple),
    on=st.one_of(st.none(), st.dates()),
    begins=st.one_of(st.none(), st.times().map(lambda at: at.replace(microsecond=0))),
    room=st.sampled_from(["", "cathedral", "2.2,18"]),
    singers=st.one_of(st.none(), st.integers(1, 5000)),
    organ=st.sampled_from(["", "organs/great one.toml"]),
    people=st.sampled_from(["mixed", "elders"]),
    early=st.booleans(),
)


@given(ORDERS)
def test_what_is_written_is_read_again(order: Order) -> None:
    assert read_order(order_text(order)) == order


@given(ORDERS, HYMNS)
def test_a_moment_is_added_at_the_end(order: Order, hymn: HymnMoment) -> None:
    typed = order_text(order) + "# mine\n"
    assert read_order(typed + moment_text(hymn)).moments == (*order.moments, hymn)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('name = "Evening"', "", "no name"),
        ('name = "Evening"', "name = 3", "name can't be 3"),
        ("singers = 40", "singers = 0", "how many people"),
        ("singers = 40", "singers = true", "can't be True"),
        ("singers = 40", "choir = 40", "'choir', which is not understood"),
        ("date = 2026-12-06", "date = 2026-12-06T10:00:00", "a day only"),
        ('place = "opening"', 'place = "bells"', "choose opening"),
        ("stanzas = [1, 3]", "stanzas = [0]", "stanzas are numbers"),
        ("stanzas = [1, 3]", "introduction = -1", "0 for none"),
        ("key = -2", 'key = "C"', "semitones up"),
        ("key = -2", "key = 13", "too far"),
        ("key = -2", "key = true", "can't be True"),
        ('{ 3 = "quiet" }', '{ x = "quiet" }', "by stanza"),
        ('{ 3 = "quiet" }', '{ 3 = "loud" }', "not 'loud'"),
        ("minutes = 12", "minutes = -1", "no number of minutes"),
        ('what = "Sermon"', 'who = "Sermon"', "must have either"),
        ("[[moments]]", "[[moments", "not valid TOML"),
    ],
)
def test_faults_are_told_in_one_sentence(old: str, new: str, told: str) -> None:
    with pytest.raises(ServiceError, match=told):
        read_order(SMALL.replace(old, new, 1))
