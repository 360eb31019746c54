"""Values of information fields: time signature, unit length, tempo, voice, staves."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from suspirium.errors import ScoreError
from suspirium.score.clefs import clef_place
from suspirium.score.model import TimeSignature
from suspirium.score.spoken import printable

_RATIO = re.compile(r"\(?\s*(\d{1,2}(?:\s*\+\s*\d{1,2})*)\s*\)?\s*/\s*(\d{1,2})")
_FRACTION = re.compile(r"(\d{1,3})\s*/\s*(\d{1,3})")
SETTING = re.compile(r'([A-Za-z]{2,})=("[^"]*"|\S+)')
_CLEF = re.compile(r"(?:^|\s)(treble|bass|alto|tenor|soprano)(\d?)([+-]8)?(?=\s|$)")
_CLEF_VALUE = re.compile(r"(treble|bass|alto|tenor|soprano|[GFC])(\d?)([+-]8)?$")
_LETTER_CLEF = {"G": "treble", "F": "bass", "C": "alto"}


def time_signature(text: str) -> TimeSignature | None:
    """What an `M:` field says; None is free metre. Raises `ScoreError`."""
    text = text.strip()
    if text in ("", "none", "None", "NONE"):
        return None
    if text == "C":
        return TimeSignature(4, 4, "C")
    if text == "C|":
        return TimeSignature(2, 2, "¢")
    found = _RATIO.match(text)
    if found:
        beats = sum(int(part) for part in found[1].split("+"))
        unit = int(found[2])
        if beats and unit and unit & (unit - 1) == 0:
            return TimeSignature(beats, unit)
    raise ScoreError(
        f'"M:{printable(text, 30)}" is no time signature; write it like M:4/4, M:C or M:none.'
    )


def unit_length_q(text: str) -> Fraction:
    """Quarter notes of the unit length in an `L:` field. Raises `ScoreError`."""
    text = text.strip()
    if text == "1":
        return Fraction(4)
    found = _FRACTION.match(text)
    if not found or not int(found[1]) or not int(found[2]):
        raise ScoreError(f'"L:{printable(text, 30)}" is no unit length; write it like L:1/4.')
    return Fraction(4 * int(found[1]), int(found[2]))


def default_unit_q(time: TimeSignature | None) -> Fraction:
    """Unit length where no `L:` says one: 1/16 below 3/4, else 1/8 (ABC 2.1, 3.1.7)."""
    short = time is not None and time.bar_q < 3
    return Fraction(1, 4) if short else Fraction(1, 2)


def quarter_bpm(text: str, unit_q: Fraction) -> float | None:
    """Quarter notes a minute that a `Q:` field says; None where it has words only."""
    text = re.sub(r'"[^"]*"', " ", text).strip()
    beats, equals, rate = text.rpartition("=")
    number = re.match(r"\s*(\d+(?:\.\d+)?)", rate)
    if not number or not 1 <= float(number[1]) <= 2000:
        return None
    found = _FRACTION.findall(beats)
    length_q = sum((Fraction(4 * int(a), int(b)) for a, b in found if int(b)), Fraction(0))
    if equals and not found:
        length_q = unit_q  # the old form "C=120"
    return float(number[1]) * float(length_q or (unit_q if equals else 1))


@dataclass(frozen=True, slots=True)
class Settings:
    """What a `V:` or `K:` field says besides its first word; None is nothing.

    `octaves` and `semitones` move the notes as they are written in the file to where they
    sound, and so does an 8 at the clef (ABC 2.1, 4.6: `octave=`, `transpose=`, `clef=`).
    """

    name: str = ""
    clef: str = ""
    octaves: int | None = None
    semitones: int | None = None

    def over(self, before: Settings) -> Settings:
        """These settings, and those from before where these say nothing."""
        return Settings(
            self.name or before.name,
            self.clef or before.clef,
            before.octaves if self.octaves is None else self.octaves,
            before.semitones if self.semitones is None else self.semitones,
        )

    @property
    def written_octaves(self) -> int:
        """Octaves between a note as the file has it and its place on the staff, clef's 8 too."""
        clef_octaves = clef_place(self.clef)[2] if self.clef else 0
        return (self.octaves or 0) + clef_octaves


NOTHING_SAID = Settings()


def settings(text: str) -> Settings:
    """Name, clef, octave shift and transposition."""
    values = {key.lower(): value.strip('"') for key, value in SETTING.findall(text)}
    clef = _CLEF_VALUE.match(values.get("clef", "")) or _CLEF.search(SETTING.sub(" ", text))
    return Settings(
        name=values.get("name") or values.get("nm") or "",
        clef=_LETTER_CLEF.get(clef[1], clef[1]) + (clef[3] or "") if clef else "",
        octaves=_whole("octave", values, 9),
        semitones=_whole("transpose", values, 60),
    )


def _whole(name: str, values: Mapping[str, str], most: int) -> int | None:
    """The whole number that is said as `name`, None where there is none."""
    text = values.get(name)
    if text is None:
        return None
    if not re.fullmatch(r"[+-]?\d{1,2}", text) or abs(int(text)) > most:
        raise ScoreError(
            f'"{name}={printable(text, 30)}" says no whole number; write it like {name}=-1.'
        )
    return int(text)


def staves(text: str) -> tuple[tuple[str, ...], ...]:
    """Voices of each staff from `%%staves` or `%%score`, top to bottom.

    Parentheses put voices on one staff; braces, brackets, bars and stars say how it is
    drawn and are passed over.
    """
    found: list[list[str]] = []
    together = False
    for word in re.findall(r"[()]|[^\s()\[\]{}|*+]+", text):
        if word == "(":
            together = True
            found.append([])
        elif word == ")":
            together = False
        elif together:
            found[-1].append(word)
        else:
            found.append([word])
    return tuple(tuple(staff) for staff in found if staff)
