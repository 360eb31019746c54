"""Words that seldom close a line, words that often open one, and names."""

from __future__ import annotations

from suspirium.tables import load


def _words(kind: str) -> frozenset[str]:
    """The words of one kind in every language of the table."""
    rows = (row for row in load("function_words") if row.key.startswith(f"{kind}."))
    return frozenset(word for row in rows for word in row.value.split())


BOUND = _words("bound")  # lean on the next word
PREPOSITIONS = _words("preposition")
HELPERS = _words("helper")
OPENERS = _words("opener")
NAMES = _words("name")  # have a capital anywhere
