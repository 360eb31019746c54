"""What a report says of a take that can be understood in two ways, or of a gap that was filled."""

from __future__ import annotations

from collections.abc import Iterator


def unsure_words(unsure: bool, introduction: bool) -> Iterator[str]:
    """That with and without an introduction a take is about as likely, if that is `unsure`."""
    if unsure and introduction:
        yield (
            "what comes before stanza 1 is taken for an introduction; it may as well be a part of "
            "the stanza that was begun again, or the end of a stanza"
        )
    elif unsure:
        yield (
            "what comes first is taken for a part of stanza 1; it may as well be an introduction"
        )


def filled_words(stanza: int) -> str:
    """That the gap after a stanza (0: the introduction) is left out."""
    after = f"stanza {stanza}" if stanza else "the introduction"
    return f"the gap after {after}: something was played there"
