"""An `Organ`: its divisions with their stops, its couplers and pistons."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Family = Literal[
    "principal",
    "flute",
    "stopped",
    "string",
    "celeste",
    "reed",
    "soft reed",
    "mutation",
    "mixture",
    "cornet",
]
REEDS = ("reed", "soft reed")
COMPOUND = ("mixture", "cornet")


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop; `feet` are the pitches of its ranks at the lowest C, the deepest first."""

    name: str
    division: str
    feet: tuple[Fraction, ...]
    family: Family

    @property
    def foot(self) -> Fraction:
        """The pitch of its deepest rank."""
        return self.feet[0]

    @property
    def is_reed(self) -> bool:
        return self.family in REEDS

    @property
    def is_unison(self) -> bool:
        """Whether it is one rank at an octave of 8 foot and no mutation."""
        return len(self.feet) == 1 and self.family != "mutation"

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class Division:
    """One manual or the pedal; `lowest` and `highest` are MIDI keys of its keyboard."""

    name: str
    lowest: int
    highest: int
    stops: tuple[Stop, ...]
    pedal: bool = False
    enclosed: bool = False


@dataclass(frozen=True, slots=True)
class Coupler:
    """Plays `source` from the keys of `target`, `octaves` higher (negative: lower)."""

    source: str
    target: str
    octaves: int = 0

    @property
    def name(self) -> str:
        pitch = {1: " super", -1: " sub"}.get(self.octaves, "")
        return f"{self.source} to {self.target}{pitch}"


@dataclass(frozen=True, slots=True)
class Organ:
    """A stop list; `pistons` is how many registrations can be set beforehand."""

    name: str
    divisions: tuple[Division, ...]
    couplers: tuple[Coupler, ...] = ()
    pistons: int = 0

    @property
    def manuals(self) -> tuple[Division, ...]:
        """The divisions played by hand, in the file's order: the main one first."""
        return tuple(division for division in self.divisions if not division.pedal)

    @property
    def pedal(self) -> Division | None:
        return next((division for division in self.divisions if division.pedal), None)

    def division(self, name: str) -> Division:
        """The division of this name; `KeyError` if there is none."""
        for division in self.divisions:
            if division.name == name:
                return division
        raise KeyError(name)
