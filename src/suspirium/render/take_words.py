"""Figures of a take in words, the same in plots, text and score."""

from __future__ import annotations


def beats(length_q: float) -> str:
    """A length to the nearest quarter of a beat: "½ beat", "1 beat", "1¾ beats"."""
    quarters = max(1, round(4 * length_q))
    whole, part = divmod(quarters, 4)
    number = f"{whole or ''}{('', '¼', '½', '¾')[part]}"
    return f"{number} {'beats' if quarters > 4 else 'beat'}"


def drift(percent: float) -> str:
    """A change of tempo: "+3 % to its end", "−2 % to its end", "even to its end"."""
    whole = round(percent)
    if not whole:
        return "even to its end"
    return f"{'+' if whole > 0 else '−'}{abs(whole)} % to its end"
