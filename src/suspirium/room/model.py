"""The room: how long sound hangs and how far the people sit from the organ."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from suspirium.errors import SuspiriumError
from suspirium.tables import load


@dataclass(frozen=True, slots=True)
class Room:
    """Reverberation time `rt_s` (60 dB, ISO 3382-1) and distance organ to people in metres."""

    rt_s: float
    distance_m: float
    name: str = ""

    @property
    def delay_s(self) -> float:
        """How late the organ reaches the people."""
        return self.distance_m / load("room").number("speed_of_sound_m_per_s")

    def fall_s(self, drop_db: float) -> float:
        """Seconds until a diffuse decay has fallen by `drop_db`: RT · dB / 60."""
        return self.rt_s * drop_db / load("room").number("decay_db")

    def fall_db(self, gap_s: float) -> float:
        """How far the sound falls during a silence of `gap_s`: 60 dB · gap / RT."""
        return load("room").number("decay_db") * gap_s / self.rt_s


@cache
def presets() -> dict[str, Room]:
    """The named rooms of the table."""
    rows = load("room")["presets"]
    return {name: Room(row["rt_s"], row["distance_m"], name) for name, row in rows.items()}


def default_room() -> Room:
    """The room assumed where nothing is said."""
    return presets()[load("room")["default"]]


def read_room(text: str) -> Room:
    """A room from what the organist typed: a preset's name, or seconds and metres.

    "parish", "2.2" and "2.2,18" are understood. Raises `SuspiriumError` otherwise.
    """
    if text.strip().lower() in presets():
        return presets()[text.strip().lower()]
    parts = [part.strip().rstrip("sm").strip() for part in text.split(",")]
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        numbers = []
    if not 1 <= len(numbers) <= 2 or not 0.1 <= numbers[0] <= 15:
        raise SuspiriumError(
            f"the room {text!r} is not known: give one of {', '.join(presets())}, "
            "or its reverberation in seconds (0.1 to 15), if you like with the metres "
            "from the organ to the people, as in 2.2,18"
        )
    distance = numbers[1] if len(numbers) == 2 else default_room().distance_m
    return Room(numbers[0], distance)
