"""Names of parts: soprano, alto, tenor, bass."""

from __future__ import annotations

from collections.abc import Sequence

FOUR_PARTS = ("soprano", "alto", "tenor", "bass")


def part_names(labels: Sequence[str], clefs: Sequence[str]) -> list[str]:
    """Names of the parts from high to low, with the source's `labels` and their clefs.

    Fewer than four parts take their labels, if each has one of the four names in it. Else,
    of three the lowest is the bass and the middle one alto, on a bass clef or a treble one
    with 8 below tenor; of two the lower is the bass on a bass clef, else the alto. A part
    beyond the fourth is called "part 5", and so on.
    """
    count = len(labels)
    said = [_said(label) for label in labels]
    if count < len(FOUR_PARTS) and all(said) and len(set(said)) == count:
        return said
    if count == 2:
        return ["soprano", "bass" if clefs[1] == "bass" else "alto"]
    if count == 3:
        return ["soprano", "tenor" if clefs[1] in ("bass", "treble-8") else "alto", "bass"]
    return [*FOUR_PARTS[:count], *(f"part {n}" for n in range(5, count + 1))]


def _said(label: str) -> str:
    return next((name for name in FOUR_PARTS if name in label.lower()), "")
