from __future__ import annotations

import pytest

from suspirium.render.typography import curly, curly_prose


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ('"Glory', "“Glory"),
        ('King!"', "King!”"),
        ("th'an", "th’an"),
        ("'Tis God's", "’Tis God’s"),
        ('cried, "Come"', "cried, “Come”"),
        ('("Come")', "(“Come”)"),
        ("plain", "plain"),
    ],
)
def test_quotes_are_turned(typed, printed) -> None:
    """Expected forms: common practice of English typography."""
    assert curly(typed) == printed


def test_single_quotes_enclose_names_in_credits() -> None:
    assert curly_prose("Music: 'Federal Street' by a friend's hand") == (
        "Music: ‘Federal Street’ by a friend’s hand"
    )
    assert curly_prose("The Strife Is O'er") == "The Strife Is O’er"
