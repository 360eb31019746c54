"""Where two words meet vowel to vowel: sung on one note, or apart."""

from __future__ import annotations

from math import inf

from suspirium.tables import load

_SILENT = {"es": "h", "fr": "h", "la": "h", "en": "", "de": "", "cy": ""}
_ELIDED_EN = frozenset({"the", "thy", "to"})


def junction_costs(before: str, after: str, language: str) -> tuple[float, float]:
    """Costs of singing `after`'s first syllable on the note of `before`'s last, and apart.

    (infinite, 0) where no vowels meet.
    """
    table = load("syllables")
    vowels = str(table[f"{language}.vowels"]["letters"])
    mute = language == "fr" and len(before) > 2 and before.endswith("e")
    end = before.removesuffix("m") if language == "la" and len(before) > 2 else before
    start = after.lstrip(_SILENT[language] + "'")
    if not end or not start or end[-1] not in vowels or start[0] not in vowels:
        return inf, 0.0
    if language == "en" and before in _ELIDED_EN:
        return table.number("cost.contracted"), 0.0
    if mute:
        return 0.0, float(table["cost.mute_apart"])
    return float(table["cost.joined"][language]), float(table["cost.apart"][language])
