"""A registration as ranks: what each key sounds in each stanza."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from suspirium.plan.performance import KeyPress
from suspirium.render.organ import Rank, Ranks
from suspirium.render.sound import Drawn
from suspirium.service.organ import Organ, Stop
from suspirium.service.organ.loudness import voicing_db
from suspirium.service.registration.model import Registration
from suspirium.tables import load


def drawn_stops(organ: Organ, rows: Mapping[int, Registration], melody: str) -> Drawn:
    """What sounds in each stanza; parts that have no row of their own (an amen) sound as the
    last stanza does. `melody` is the voice that a solo manual takes."""
    last = rows[max(rows)]

    def drawn(press: KeyPress) -> Ranks:
        registration = rows.get(press.stanza, last)
        return _ranks(organ, registration, keyboard_of(registration, press, melody))

    return drawn


def keyboard_of(registration: Registration, press: KeyPress, melody: str) -> str:
    """The keyboard on which a key is pressed."""
    if press.division == "pedal" and registration.pedal:
        return registration.pedal
    if registration.solo and melody in press.voices:
        return registration.solo
    return registration.main


@cache
def _ranks(organ: Organ, registration: Registration, keyboard: str) -> Ranks:
    """All ranks of a keyboard: its own stops and those that couplers bring."""
    sources = [(keyboard, 0)]
    sources += [(c.source, c.octaves) for c in registration.couplers if c.target == keyboard]
    return tuple(
        _rank(organ, registration, stop, number, octaves)
        for division, octaves in sources
        for stop in registration.of(division)
        for number in range(len(stop.feet))
    )


def _rank(organ: Organ, registration: Registration, stop: Stop, number: int, octaves: int) -> Rank:
    """One rank of a stop, as loud as the table has its family, tuned in its own way."""
    table, feet = load("organs"), stop.feet[number]
    shut = registration.shut and stop.division in registration.enclosed
    level_db = table["level_db"][stop.family] + voicing_db(feet)
    level_db += table.number("box_closed_db") if shut else 0.0
    stops = [one for division in organ.divisions for one in division.stops]
    detuned = load("organ")["tuning.cents"]
    cents = float(detuned[(stops.index(stop) + number) % len(detuned)])
    if stop.family == "celeste":
        cents += load("organ").number("celeste.cents")
    return Rank(stop.family, float(feet) / 2.0**octaves, level_db, cents)
