from __future__ import annotations

import pytest

from suspirium.render.typography import curly


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
