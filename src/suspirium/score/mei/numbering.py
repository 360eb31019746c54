"""Barlines made measures: their looks, repeats, endings and numbers."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from suspirium.score.model import Measure, TimeSignature

_STYLES = {
    "dbl": "double",
    "end": "final",
    "rptend": "final",
    "rptboth": "final",
    "dbldashed": "dotted",
    "dbldotted": "dotted",
    "dashed": "dotted",
    "dotted": "dotted",
    "invis": "none",
    "rptstart": "double",
}
_OPENS = ("rptstart", "rptboth")
_CLOSES = ("rptend", "rptboth")


@dataclass(frozen=True, slots=True)
class Stretch:
    """What lies between two barlines, `left` and `right` as MEI names them.

    `said` is the number the source prints, None where it prints none.
    """

    onset_q: Fraction
    duration_q: Fraction
    time: TimeSignature | None
    said: int | None
    left: str = ""
    right: str = ""
    endings: tuple[int, ...] = ()

    def cut(self, inner: Sequence[tuple[Fraction, str]]) -> Iterator[Stretch]:
        """The parts between barlines inside, each given by its onset and its form."""
        rest = self
        for onset_q, form in inner:
            first_q = onset_q - rest.onset_q
            yield replace(rest, duration_q=first_q, right=form)
            rest = replace(rest, onset_q=onset_q, duration_q=rest.duration_q - first_q, left="")
        yield rest


def printed_number(text: str | None) -> int | None:
    """The number a source prints, None where it is none ("X1")."""
    found = re.match(r"\d+", text or "")
    return int(found[0]) if found else None


def measures_of(stretches: Sequence[Stretch]) -> tuple[Measure, ...]:
    """Measures with their numbers; the pickup is 0.

    Short stretches that add up to a bar, and those that repeat a number, are one bar.
    """
    done: list[Measure] = []
    number, left_q = 0, Fraction(0)
    said_before: int | None = None
    for index, stretch in enumerate(stretches):
        said = stretch.said
        short_q = stretch.time.bar_q - stretch.duration_q if stretch.time else Fraction(0)
        continues = index > 0 and (left_q > 0 or (said is not None and said == said_before))
        if continues:
            number = number if said is None else said
            left_q = max(Fraction(0), left_q - stretch.duration_q)
        else:
            pickup = index == 0 and short_q > 0
            number = 0 if pickup else number + 1 if said is None else said
            left_q = _left_to_fill(stretches[index:]) if index > 0 and short_q > 0 else Fraction(0)
        said_before = said
        done.append(_measure(stretches, index, number, continues))
    return tuple(done)


def _left_to_fill(rest: Sequence[Stretch]) -> Fraction:
    """What the following stretches give to fill the bar exactly, 0 where they don't."""
    time = rest[0].time
    total_q = Fraction(0)
    for stretch in rest:
        total_q += stretch.duration_q
        if time is None or total_q >= time.bar_q:
            break
    exact = time is not None and total_q == time.bar_q
    return total_q - rest[0].duration_q if exact else Fraction(0)


def _measure(stretches: Sequence[Stretch], index: int, number: int, continues: bool) -> Measure:
    """A measure, with what its neighbours say about their common barlines."""
    stretch = stretches[index]
    before = stretches[index - 1].right if index else ""
    after = stretches[index + 1].left if index + 1 < len(stretches) else ""
    ends = stretch.right in _CLOSES or after in _CLOSES
    right = "final" if ends else _STYLES.get(stretch.right, "single")
    if after == "rptstart" and right != "final":
        right = "double"
    return Measure(
        number=number,
        onset_q=stretch.onset_q,
        duration_q=stretch.duration_q,
        right=right,
        repeat_start=stretch.left in _OPENS or before in _OPENS,
        repeat_end=ends,
        endings=stretch.endings,
        continues=continues,
    )
