"""Which notes print an accidental: the rule of the measure and the staff."""

from __future__ import annotations

from suspirium.score.pitch import Pitch, key_alter

_NAMES = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}


class AccidentalReader:
    """Follows one staff through a measure, voice after voice (common practice).

    An accidental holds for its line or space until the barline; a tied note repeats none.
    """

    def __init__(self, fifths: int) -> None:
        self._fifths = fifths
        self._holds: dict[tuple[str, int], int] = {}

    def printed(self, pitch: Pitch, tied_over: bool) -> str | None:
        """The accidental to print, None for none."""
        place = (pitch.step, pitch.octave)
        holds = self._holds.get(place, key_alter(pitch.step, self._fifths))
        if tied_over or holds == pitch.alter:
            return None
        self._holds[place] = pitch.alter
        return _NAMES[pitch.alter]
