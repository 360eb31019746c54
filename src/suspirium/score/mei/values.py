"""Values in a MusicXML file that no score can have, found before they are converted.

verovio takes the nearest it knows, drops the note, or never ends.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction

from lxml import etree

from suspirium.errors import Place, Remark, ScoreError
from suspirium.score.mei.xml import decimal
from suspirium.score.spoken import printable

_MOST_DIVISIONS = 2**20  # of a quarter, and quarters in one note: far more than any score has
_TIMES = "2"  # that a repeated section is played where nothing else is said


def _between(low: Fraction | int, high: Fraction | int) -> Callable[[str], bool]:
    def holds(text: str) -> bool:
        value = decimal(text)
        return value is not None and low <= value <= high

    return holds


def _whole_between(low: int, high: int) -> Callable[[str], bool]:
    return lambda text: re.fullmatch(r"[+-]?\d+", text) is not None and _between(low, high)(text)


# By element: what its text must be (MusicXML 4.0, and what can be played), and its name.
_TESTS: dict[str, tuple[Callable[[str], bool], str]] = {
    "step": (lambda text: text in set("ABCDEFG"), "step of a note"),
    "octave": (_whole_between(0, 9), "octave of a note"),
    "alter": (lambda text: decimal(text) in range(-2, 3), "alteration of a note"),
    "duration": (_between(0, _MOST_DIVISIONS), "length of a note"),
    "divisions": (_between(Fraction(1, _MOST_DIVISIONS), _MOST_DIVISIONS), "length of a quarter"),
    "fifths": (_whole_between(-7, 7), "key signature"),
    "beats": (
        lambda text: re.fullmatch(r"\s*[1-9]\d{0,2}(\s*\+\s*[1-9]\d{0,2})*\s*", text) is not None,
        "number of beats",
    ),
    "beat-type": (
        lambda text: text in {str(2**power) for power in range(8)},
        "note value of a beat",
    ),
}


def check_values(score: etree._Element) -> None:
    """Raises `ScoreError` at the first value in a MusicXML score that can't be read."""
    for element in score.iter(*_TESTS):
        holds, what = _TESTS[element.tag]
        text = (element.text or "").strip()
        if not holds(text):
            text = (
                f'"{printable(text, 20)}" is no {what} that can be read: correct it in the score.'
            )
            raise ScoreError(text, _place(element))


def take_times(score: etree._Element) -> Iterator[Remark]:
    """Takes out how often repeat signs ask to be played, and tells where it is not twice."""
    for repeat in score.iter("repeat"):
        times = repeat.get("times")
        repeat.attrib.pop("times", "")
        if times not in (None, _TIMES):
            text = (
                f'the repeat sign says "times {printable(times, 10)}", which is passed over: '
                "write endings where a section is played more than twice."
            )
            yield Remark(text, _place(repeat))


def _place(element: etree._Element) -> Place:
    measure = next(element.iterancestors("measure"), None)
    number = "" if measure is None else str(measure.get("number", ""))
    said = int(number) if re.fullmatch(r"\d{1,4}", number) else None
    return Place(measure=said, line=getattr(element, "sourceline", None))
