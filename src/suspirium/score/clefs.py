"""Names of clefs and their shape, line and octave."""

from __future__ import annotations

import re

_PLACES = {
    "treble": ("G", 2),
    "bass": ("F", 4),
    "alto": ("C", 3),
    "tenor": ("C", 4),
    "soprano": ("C", 1),
    "mezzosoprano": ("C", 2),
    "baritone": ("F", 3),
}
_NAMES = {place: name for name, place in _PLACES.items()}
_SPELT = re.compile(r"([A-Z])(\d)|([a-z]+)")


def clef_name(shape: str, line: int, octaves: int = 0) -> str:
    """The name of a clef ("treble", "treble-8"); shape and line where it has none ("G1")."""
    name = _NAMES.get((shape, line), f"{shape}{line}")
    return name if not octaves else f"{name}{'+' if octaves > 0 else '-'}{_printed(octaves)}"


def clef_place(name: str) -> tuple[str, int, int]:
    """Shape, line and octave shift of a clef; treble where the name is unknown."""
    plain, _, figure = name.replace("-", "+").partition("+")
    octaves = {"8": 1, "15": 2}.get(figure, 0) * (-1 if "-" in name else 1)
    spelt = _SPELT.fullmatch(plain)
    if spelt and spelt[1]:
        return spelt[1], int(spelt[2]), octaves
    return (*_PLACES.get(plain, ("G", 2)), octaves)


def _printed(octaves: int) -> str:
    return "8" if abs(octaves) == 1 else "15"
