"""Key signatures in `K:` fields: tonic, mode and explicit accidentals."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from suspirium.errors import ScoreError
from suspirium.score.abc.fields import NOTHING_SAID, SETTING, Settings, settings
from suspirium.score.pitch import STEPS, key_alter
from suspirium.score.spoken import printable

_KEY = re.compile(
    r"([A-G])([#b]?)\s*"
    r"((?i:maj|min|ion|aeo|mix|dor|phr|lyd|loc|exp)[a-z]*|m(?![a-z]))?"
)
_MODES = {
    "": ("major", 0), "maj": ("major", 0), "ion": ("major", 0), "exp": ("none", 0),
    "m": ("minor", -3), "min": ("minor", -3), "aeo": ("minor", -3),
    "mix": ("mixolydian", -1), "dor": ("dorian", -2), "phr": ("phrygian", -4),
    "lyd": ("lydian", 1), "loc": ("locrian", -5),
}  # fmt: skip
_TONICS = dict(zip("FCGDAEB", range(-1, 6), strict=True))
_CLEF_ALONE = re.compile(r"(?:treble|bass|alto|tenor|soprano|mezzo|baritone|perc|[+-]|clef|\d)")
_ACCIDENTAL = re.compile(r"(?<![\w=])(\^\^|\^|__|_|=)([a-gA-G])(?![\w=])")
ALTERS = {"^^": 2, "^": 1, "=": 0, "_": -1, "__": -2}


@dataclass(frozen=True, slots=True)
class Key:
    """A key signature: the alteration of each step, and the plain signature nearest to it.

    `given` is false where the field only sets a clef.
    """

    fifths: int
    mode: str
    alters: Mapping[str, int]
    settings: Settings = NOTHING_SAID
    given: bool = True


@lru_cache(maxsize=64)
def read_key(text: str) -> Key:
    """What a `K:` field says; no key at all has no sharps and mode "none".

    Raises `ScoreError` for what is no key, and for more than seven sharps or flats.
    """
    more = settings(text)
    bare = SETTING.sub(" ", text).strip()
    if bare.startswith(("HP", "Hp")):
        fifths, mode = (2, "mixolydian") if bare[1] == "p" else (0, "none")
        return Key(fifths, mode, _signature(fifths), more)
    found = _KEY.match(bare)
    if not found:
        given = not text.strip() or bare.startswith("none") or bool(_ACCIDENTAL.search(bare))
        if not given and bare and not _CLEF_ALONE.match(bare):
            raise ScoreError(
                f'"K:{printable(bare, 30)}" is no key; write it like K:G, K:Bb or K:Dm.'
            )
        return _with_accidentals(0, "none", bare, more, given)
    mode, offset = _MODES[(found[3] or "").lower()[:3]]
    fifths = _TONICS[found[1]] + {"#": 7, "b": -7, "": 0}[found[2]] + offset
    if mode == "none":
        fifths = 0
    return _with_accidentals(fifths, mode, bare[found.end() :], more, given=True)


def _with_accidentals(fifths: int, mode: str, text: str, more: Settings, given: bool) -> Key:
    if abs(fifths) > 7:
        raise ScoreError(f"A key signature of {abs(fifths)} sharps or flats can't be written.")
    alters = dict(_signature(fifths))
    alters.update((letter.upper(), ALTERS[sign]) for sign, letter in _ACCIDENTAL.findall(text))
    nearest = min(range(-7, 8), key=lambda n: (_distance(alters, n), abs(n - fifths)))
    return Key(nearest, mode, MappingProxyType(alters), more, given)


def _distance(alters: Mapping[str, int], fifths: int) -> int:
    return sum(abs(alter - key_alter(step, fifths)) for step, alter in alters.items())


def _signature(fifths: int) -> Mapping[str, int]:
    return MappingProxyType({step: key_alter(step, fifths) for step in STEPS})
