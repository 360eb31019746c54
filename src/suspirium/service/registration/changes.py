"""What must move from one registration to the next, and whether hands can reach it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from suspirium.service.organ.model import Organ
from suspirium.service.registration.model import Registration
from suspirium.tables import load


@dataclass(frozen=True, slots=True)
class Change:
    """Controls to draw and to put in, by a piston or by hand, and the seconds it takes."""

    draw: tuple[str, ...]
    put_in: tuple[str, ...]
    by_piston: bool
    seconds: float

    @property
    def moves(self) -> int:
        return len(self.draw) + len(self.put_in)


def change(organ: Organ, before: Registration, after: Registration, budget_s: float) -> Change:
    """The change between two registrations, by hand where the time allows it.

    What is drawn in a division that does not sound may stay drawn.
    """
    sounding = after.divisions
    draw = after.controls - before.controls
    put_in = {c for c in before.controls - after.controls if c[0] in sounding}
    moves = len(draw) + len(put_in)
    by_hand_s = hand_s(moves)
    piston = organ.pistons > 0 and by_hand_s > budget_s
    return Change(
        _labels(organ, draw),
        _labels(organ, put_in),
        piston,
        load("registration").number("reach.piston_s") if piston else by_hand_s,
    )


def _labels(organ: Organ, controls: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """What stands on the knobs, in the organ's order: "Great Principal", "Swell to Great"."""
    asked = set(controls)
    stops = [
        f"{division.name} {stop.name}"
        for division in organ.divisions
        for stop in division.stops
        if (division.name, stop.name) in asked
    ]
    return (*stops, *(one.name for one in organ.couplers if (one.target, one.name) in asked))


def hand_s(moves: int) -> float:
    """Seconds for so many stops and couplers moved by hand."""
    table = load("registration")
    if moves == 0:
        return 0.0
    return table.number("reach.out_s") + moves * table.number("reach.stop_s")
