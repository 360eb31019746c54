"""A melody by its steps, whatever its key: intervals and scale degrees."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from suspirium.errors import SearchError
from suspirium.score.model import Hymn
from suspirium.score.order import passages
from suspirium.score.pitch import STEPS, key_alter
from suspirium.score.sounding import Tone, key_at, melody_tones

_FIFTH = 4  # steps of the staff: the tonic of a major key lies so many above C for each sharp
_MODES = {
    "major": 0,
    "ionian": 0,
    "dorian": 1,
    "phrygian": 2,
    "lydian": 3,
    "mixolydian": 4,
    "minor": 5,
    "aeolian": 5,
    "locrian": 6,
}


@dataclass(frozen=True, slots=True)
class Melody:
    """The melody's tones as sung once: MIDI keys, lengths and places in the bar's beats.

    `degrees` are 1 to 7 with # or b where the tone is not the key's own.
    """

    keys: tuple[int, ...]
    lengths_q: tuple[Fraction, ...]
    degrees: tuple[str, ...]

    @property
    def intervals(self) -> tuple[int, ...]:
        """Semitones from each tone to the next."""
        return tuple(b - a for a, b in pairwise(self.keys))


def melody_of(hymn: Hymn) -> Melody:
    """The melody of the first stanza, repeats played."""
    line = melody_tones(hymn)
    sung: list[Tone] = []
    for passage in passages(hymn):
        sung += [tone for tone in line if passage.start_q <= tone.onset_q < passage.end_q]
    return Melody(
        tuple(tone.pitch.midi for tone in sung),
        tuple(tone.duration_q for tone in sung),
        tuple(_degree(hymn, tone) for tone in sung),
    )


def _degree(hymn: Hymn, tone: Tone) -> str:
    """The tone's degree in the key that holds there, by its spelling."""
    key = key_at(hymn, tone.onset_q)
    tonic = (_FIFTH * key.fifths + _MODES.get(key.mode, 0)) % 7
    degree = (STEPS.index(tone.pitch.step) - tonic) % 7 + 1
    usual = key_alter(tone.pitch.step, key.fifths)
    sign = {-1: "b", 0: "", 1: "#"}.get(tone.pitch.alter - usual, "?")
    return f"{degree}{sign}"


def tokens(values: Sequence[object]) -> str:
    """A row of values as text in which a part of the row is a part of the text."""
    return "," + ",".join(str(value) for value in values) + ","


def pattern_tokens(pattern: str) -> tuple[str, str]:
    """What a typed pattern is ("degrees" or "intervals") and its tokens.

    Degrees are 1 to 7, with # or b: "5 1 1 2 3"; intervals are semitones with their sign
    ("+5 0 +2 -4"), a 0 among them without. Raises `SearchError` for anything else.
    """
    words = pattern.replace(",", " ").split()
    if not words:
        raise SearchError("a note pattern needs some notes: 5 1 1 2 3, or +5 0 +2")
    if any(word[0] in "+-" for word in words):
        if not all(word.lstrip("+-").isdigit() for word in words):
            raise SearchError(f"{pattern!r} is no row of intervals in semitones, like +5 0 +2")
        return "intervals", tokens([int(word) for word in words])
    for word in words:
        if word[0] not in "1234567" or word[1:] not in ("", "#", "b"):
            raise SearchError(
                f"{word!r} is no degree of the scale: 1 to 7, with # or b after it; intervals "
                "have a sign: +5 0 +2"
            )
    return "degrees", tokens(words)
