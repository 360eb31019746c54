"""What pitch a written note is: key signature, accidentals in the bar, ties."""

from __future__ import annotations

import re
from functools import lru_cache

from suspirium.errors import ScoreError
from suspirium.score.abc.event import Event
from suspirium.score.abc.fields import Settings
from suspirium.score.abc.key import ALTERS, Key
from suspirium.score.pitch import Pitch
from suspirium.score.transposition import UNMOVED, Transposition, transposition


class PitchReader:
    """Pitches of one voice.

    An accidental holds to the end of the bar for every octave (ABC 2.1, 11.3, default
    "pitch"), or with `per_octave` for its own octave; a tie carries it on.
    """

    def __init__(self, key: Key, per_octave: bool) -> None:
        self.per_octave = per_octave
        self._altered: dict[str, int] = {}
        self._written: dict[Pitch, Pitch] = {}  # by the pitch that sounds
        self.set(key, key.settings)

    def set(self, key: Key, said: Settings) -> None:
        """From here on this key and these settings hold."""
        self.key = key
        self._octaves = said.written_octaves
        semitones = said.semitones or 0
        self.moved = transposition(semitones, key.fifths) if semitones else UNMOVED

    def new_bar(self) -> None:
        self._altered.clear()

    def read(self, found: re.Match[str], last: Event | None) -> Pitch:
        """The sounding pitch of a note token after the event `last`. Raises `ScoreError`."""
        letter, marks, sign = found["letter"], found["octave"], found["acc"]
        octave = (4 if letter.isupper() else 5) + self._octaves
        if marks:
            octave += marks.count("'") - marks.count(",")
        step = letter.upper()
        place = f"{step}{octave}" if self.per_octave else step
        alter: int | None
        if sign:
            alter = self._altered[place] = ALTERS[sign]
        else:
            alter = self._tied(last, step, octave) if last is not None and last.ties else None
            if alter is None:
                alter = self._altered.get(place, self.key.alters[step])
        pitch = _pitch(step, alter, octave, self.moved)
        if self.moved is not UNMOVED:
            self._written[pitch] = Pitch(step, alter, octave)
        return pitch

    def _tied(self, last: Event, step: str, octave: int) -> int | None:
        written = (self._written.get(pitch, pitch) for pitch in last.ties)
        return next((p.alter for p in written if p.step == step and p.octave == octave), None)


@lru_cache(maxsize=512)
def _pitch(step: str, alter: int, octave: int, moved: Transposition) -> Pitch:
    pitch = moved.pitch(Pitch(step, alter, octave))
    if not 0 <= pitch.midi <= 127:
        raise ScoreError(f"The note {pitch} is outside of what can be played.")
    return pitch
