"""A `Registration`: what is drawn, and for which stanza and why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from suspirium.service.organ.loudness import Sound, sound_of, together
from suspirium.service.organ.model import Coupler, Organ, Stop
from suspirium.tables import load
from suspirium.verse.character import Character


@dataclass(frozen=True)
class Registration:
    """Stops and couplers drawn, and the manual that the hands play.

    `shut` says that the swell box is closed. Where `solo` names a manual, the right hand
    plays the melody there and the left hand accompanies on `main`. Without `pedal` the hands
    play all voices.
    """

    main: str
    stops: tuple[Stop, ...]
    couplers: tuple[Coupler, ...] = ()
    pedal: str = ""
    shut: bool = False
    enclosed: tuple[str, ...] = ()
    solo: str = ""

    @cached_property
    def controls(self) -> frozenset[tuple[str, str]]:
        """What hands draw: stops by division and name, couplers by target and name."""
        drawn = {(stop.division, stop.name) for stop in self.stops}
        return frozenset(drawn | {(coupler.target, coupler.name) for coupler in self.couplers})

    @cached_property
    def divisions(self) -> frozenset[str]:
        """The divisions that sound."""
        coupled = {coupler.source for coupler in self.couplers}
        return frozenset({self.main, self.pedal, self.solo} - {""} | coupled)

    def of(self, division: str) -> tuple[Stop, ...]:
        """The stops drawn in one division."""
        return tuple(stop for stop in self.stops if stop.division == division)

    def sound(self, keyboard: str) -> Sound:
        """What the keys of a keyboard sound, couplers included."""
        sources = [c.source for c in self.couplers if c.target == keyboard]
        return together(
            self._own(division, keyboard == self.pedal) for division in (keyboard, *sources)
        )

    def _own(self, division: str, pedal: bool) -> Sound:
        found = together(sound_of(stop, pedal=pedal) for stop in self.of(division))
        closed = self.shut and division in self.enclosed
        return found.softened(load("organs").number("box_closed_db")) if closed else found


@dataclass(frozen=True, slots=True)
class StanzaRegistration:
    """One stanza's registration; stanza 0 is the introduction.

    `asked` and `step` are the step of the crescendo that the stanza asks for and that the
    registration has. `draw` and `put_in` are what changes from the one before, by a piston
    or by hand; `seconds` is how long that takes.
    """

    stanza: int
    character: Character
    asked: float
    step: float
    registration: Registration
    level_db: float
    brightness: float
    draw: tuple[str, ...]
    put_in: tuple[str, ...]
    by_piston: bool
    seconds: float
    reason: str


def controls_words(organ: Organ, registration: Registration) -> str:
    """What is drawn, division by division: "Great Principal 8, Octave 4"."""
    parts = []
    for division in organ.divisions:
        names = [stop.name for stop in registration.of(division.name)]
        if names:
            parts.append(f"{division.name} {', '.join(names)}")
    parts += [coupler.name for coupler in registration.couplers]
    return "; ".join(parts)
