"""What pitch a written note is: key signature, accidentals in the bar, ties."""

from __future__ import annotations

import re
from functools import lru_cache

from suspirium.errors import ScoreError
from suspirium.score.abc.event import Event
from suspirium.score.abc.key import ALTERS, Key
from suspirium.score.pitch import Pitch


class PitchReader:
    """Pitches of one voice.

    An accidental holds to the end of the bar for every octave (ABC 2.1, 11.3, default
    "pitch"), or with `per_octave` for its own octave; a tie carries it on.
    """

    def __init__(self, key: Key, per_octave: bool) -> None:
        self.key = key
        self.per_octave = per_octave
        self.octaves = 0
        self._altered: dict[str, int] = {}

    def new_bar(self) -> None:
        self._altered.clear()

    def read(self, found: re.Match[str], last: Event | None) -> Pitch:
        """The pitch of a note token after the event `last`. Raises `ScoreError`."""
        letter, marks, sign = found["letter"], found["octave"], found["acc"]
        octave = (4 if letter.isupper() else 5) + self.octaves
        if marks:
            octave += marks.count("'") - marks.count(",")
        step = letter.upper()
        place = f"{step}{octave}" if self.per_octave else step
        alter: int | None
        if sign:
            alter = self._altered[place] = ALTERS[sign]
        else:
            alter = _tied(last, step, octave) if last is not None and last.ties else None
            if alter is None:
                alter = self._altered.get(place, self.key.alters[step])
        return _pitch(step, alter, octave)


def _tied(last: Event, step: str, octave: int) -> int | None:
    return next((p.alter for p in last.ties if p.step == step and p.octave == octave), None)


@lru_cache(maxsize=512)
def _pitch(step: str, alter: int, octave: int) -> Pitch:
    pitch = Pitch(step, alter, octave)
    if not 0 <= pitch.midi <= 127:
        raise ScoreError(f"The note {pitch} is outside of what can be played.")
    return pitch
