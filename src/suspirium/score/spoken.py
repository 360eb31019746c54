"""Score values and what files say in words, for remarks and errors."""

from __future__ import annotations

from fractions import Fraction


def quarters(length_q: Fraction) -> str:
    """A length in words: "1 quarter", "1/2 quarter", "3 1/2 quarters"."""
    whole, part = divmod(length_q, 1)
    shown = " ".join(str(value) for value in (whole, part) if value) or "0"
    return f"{shown} {'quarter' if 0 < length_q <= 1 else 'quarters'}"


def printable(text: str, most: int) -> str:
    """What a file says, for a message: at most so many signs, all of them printable."""
    shown = text if len(text) <= most else f"{text[: most - 1]}…"
    return "".join(sign if sign.isprintable() else "�" for sign in shown)
