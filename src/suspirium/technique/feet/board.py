"""A pedalboard's keys in space, in mm from the middle of the heel board."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import atan2, cos, degrees, dist, sin, sqrt
from typing import Literal

from suspirium.errors import OverrideError
from suspirium.tables import load
from suspirium.technique.model import FootPart

BoardName = Literal["ago", "rco", "bdo", "flat"]
Point = tuple[float, float, float]

_PLACES = {0: 0.0, 1: 0.5, 2: 1.0, 3: 1.5, 4: 2.0, 5: 3.0, 6: 3.5, 7: 4.0, 8: 4.5, 9: 5.0, 10: 5.5}
_B = 6.0


@dataclass(frozen=True, slots=True)
class Pedalboard:
    """A board by its compass and shape; lengths in mm, radii 0 for parallel or flat."""

    name: str
    lowest: int
    notes: int
    natural_mm: float
    radiation_mm: float
    concavity_mm: float

    @property
    def highest(self) -> int:
        return self.lowest + self.notes - 1


@cache
def pedalboard(name: str = "ago") -> Pedalboard:
    """The board of the table; raises `OverrideError` for an unknown name."""
    table = load("pedalboard")
    if name not in table["board.notes"]:
        known = ", ".join(table["board.notes"])
        raise OverrideError(f"there is no pedalboard {name!r}; choose one of {known}")
    return Pedalboard(
        name=name,
        lowest=int(table["board.lowest"]),
        notes=int(table["board.notes"][name]),
        natural_mm=float(table["board.natural_mm"][name]),
        radiation_mm=float(table["board.radiation_mm"][name]),
        concavity_mm=float(table["board.concavity_mm"][name]),
    )


def naturals(midi: int) -> float:
    """Where a key lies, counted in naturals from MIDI key 0; sharps between two naturals."""
    octave, step = divmod(midi, 12)
    return 7 * octave + _PLACES.get(step, _B)


def is_sharp(midi: int) -> bool:
    """Whether the key is a sharp."""
    return naturals(midi) % 1 == 0.5


@cache
def point_mm(board: Pedalboard, midi: int, part: FootPart) -> Point:
    """Where the toe or heel plays a key: to the right, away from the player, upwards.

    Radiating keys are rays from a point behind the player; concave boards lie on a
    cylinder along them.
    """
    middle = (naturals(board.lowest) + naturals(board.highest)) / 2
    sideways_mm = (naturals(midi) - middle) * board.natural_mm
    deep_mm = _depth_mm(midi, part)
    if board.radiation_mm:
        # the natural pitch is measured where the toes play naturals
        radius_mm = board.radiation_mm
        angle = sideways_mm / radius_mm
        ray_mm = radius_mm + deep_mm - load("pedalboard").number("board.toe_natural_mm")
        x_mm, y_mm = ray_mm * sin(angle), ray_mm * cos(angle) - radius_mm
    else:
        x_mm, y_mm = sideways_mm, deep_mm
    if board.concavity_mm:
        bow_mm = board.concavity_mm
        return x_mm, y_mm, bow_mm - sqrt(bow_mm**2 - x_mm**2)
    return x_mm, y_mm, 0.0


def _depth_mm(midi: int, part: FootPart) -> float:
    table = load("pedalboard")
    if part == "heel":
        return table.number("board.heel_mm")
    return table.number("board.toe_sharp_mm" if is_sharp(midi) else "board.toe_natural_mm")


@cache
def turn_deg(board: Pedalboard, toe_midi: int, heel_midi: int) -> float:
    """How far a foot turns from its own key's line to have toe and heel on two keys.

    Positive with the toe to the right.
    """
    toe = point_mm(board, toe_midi, "toe")
    heel = point_mm(board, heel_midi, "heel")
    along = point_mm(board, heel_midi, "toe")
    own = atan2(along[0] - heel[0], along[1] - heel[1])
    return degrees(atan2(toe[0] - heel[0], toe[1] - heel[1]) - own)


@cache
def apart_mm(
    board: Pedalboard, midi: int, part: FootPart, other: int, other_part: FootPart
) -> float:
    """Straight distance between two playing places."""
    return dist(point_mm(board, midi, part), point_mm(board, other, other_part))
