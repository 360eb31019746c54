"""Signs on notes: what they are called here, in MusicXML 4.0 and in MEI 5.

Names are those of ABC 2.1 (section 4.14) where it has one.
"""

from __future__ import annotations

from dataclasses import dataclass

ARTICULATIONS, ORNAMENTS, TECHNICAL, NOTATIONS = (
    "articulations",
    "ornaments",
    "technical",
    "notations",
)


@dataclass(frozen=True, slots=True)
class Decoration:
    """A sign: its name, its MusicXML element within `group`, its MEI `@artic` or element.

    `mei_form` is the `@form` that tells two signs of one MEI element apart.
    """

    name: str
    group: str
    musicxml: str
    mei: str
    mei_form: str = ""


DECORATIONS = (
    Decoration("accent", ARTICULATIONS, "accent", "acc"),
    Decoration("marcato", ARTICULATIONS, "strong-accent", "marc"),
    Decoration("staccato", ARTICULATIONS, "staccato", "stacc"),
    Decoration("tenuto", ARTICULATIONS, "tenuto", "ten"),
    Decoration("wedge", ARTICULATIONS, "staccatissimo", "stacciss"),
    Decoration("trill", ORNAMENTS, "trill-mark", "trill"),
    Decoration("turn", ORNAMENTS, "turn", "turn", "upper"),
    Decoration("invertedturn", ORNAMENTS, "inverted-turn", "turn", "lower"),
    Decoration("mordent", ORNAMENTS, "mordent", "mordent", "lower"),
    Decoration("uppermordent", ORNAMENTS, "inverted-mordent", "mordent", "upper"),
    Decoration("upbow", TECHNICAL, "up-bow", "upbow"),
    Decoration("downbow", TECHNICAL, "down-bow", "dnbow"),
    Decoration("open", TECHNICAL, "open-string", "open"),
    Decoration("heel", TECHNICAL, "heel", "heel"),
    Decoration("toe", TECHNICAL, "toe", "toe"),
    Decoration("arpeggio", NOTATIONS, "arpeggiate", "arpeg"),
)
BY_NAME = {decoration.name: decoration for decoration in DECORATIONS}
_BY_MEI = {(decoration.mei, decoration.mei_form): decoration for decoration in DECORATIONS}
_RANK = {decoration.name: rank for rank, decoration in enumerate(DECORATIONS)}


def from_mei(sign: str, form: str = "") -> str:
    """The name of an MEI sign, the sign itself where it has no name here."""
    found = _BY_MEI.get((sign, form)) or _BY_MEI.get((sign, ""))
    if found is None and sign in ("mordent", "turn"):
        found = _BY_MEI[(sign, "upper")]  # what MEI means where it says no form
    return found.name if found else sign


def ordered(names: set[str]) -> tuple[str, ...]:
    """Names in the order of the table, unknown ones last by name."""
    return tuple(sorted(names, key=lambda name: (_RANK.get(name, len(_RANK)), name)))
