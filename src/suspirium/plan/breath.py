"""Who breathes where: for each stanza a full lift, a part lift or a carry at every line end.

The punctuation of the stanza itself speaks; how long a breath lasts limits it. Chosen
for the whole stanza at once by dynamic programming over the line ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal

from suspirium.plan.model import Breath, BreathKind
from suspirium.score.model import Hymn, Syllable
from suspirium.score.words import sung
from suspirium.tables import load
from suspirium.units import quarters_to_seconds

Mark = Literal["none", "comma", "strong"]

_CLOSERS = "\"'”’»“‘)]*"
_STRONG = ".!?;:…"
_WEAK = ",—–‑-"
_KINDS: tuple[BreathKind, ...] = ("full", "part", "carry")
_COSTS = {
    "full": "carry.cost_of_breath",
    "part": "carry.cost_of_part",
    "carry": "carry.cost_of_carry",
}
_STOP: Mark = "strong"
_CARRY: BreathKind = "carry"
_SAID = {"none": "no mark", "comma": "a comma", "strong": "a stop"}


def mark_of(text: str) -> Mark:
    """The punctuation that closes a word: "strong" for a stop, "comma", or "none"."""
    end = text.rstrip(_CLOSERS + " ")[-1:]
    if end and end in _STRONG:
        return "strong"
    return "comma" if end and end in _WEAK else "none"


def last_syllable(
    syllables: Sequence[Syllable], first_q: Fraction, last_q: Fraction
) -> Syllable | None:
    """The syllable sung at the end of a line whose last note begins at `last_q`."""
    inside = [s for s in syllables if first_q <= s.onset_q <= last_q]
    return inside[-1] if inside else None


def line_marks(
    hymn: Hymn, number: int, lines: Sequence[tuple[Fraction, Fraction]]
) -> tuple[Mark, ...]:
    """The mark at the end of each line of stanza `number`; `lines` are (first, last) onsets.

    A stanza without any mark says nothing: every end counts as a stop then.
    """
    syllables = sung(hymn, number)
    ends = [last_syllable(syllables, first, last) for first, last in lines]
    marks: tuple[Mark, ...] = tuple(
        "none" if end is None or end.joins_next else mark_of(end.text) for end in ends
    )
    if all(mark == "none" for mark in marks):
        return tuple(_STOP for _ in marks)
    return marks


def choose_breaths(
    hymn: Hymn,
    number: int,
    lines: Sequence[tuple[Fraction, Fraction]],
    ends_q: Sequence[Fraction],
    quarter_bpm: float,
) -> tuple[Breath, ...]:
    """One `Breath` for each line of stanza `number`; the stanza's own end is a full one."""
    marks = line_marks(hymn, number, lines)
    starts_s = [quarters_to_seconds(first, quarter_bpm) for first, _ in lines]
    ends_s = [quarters_to_seconds(end, quarter_bpm) for end in ends_q]
    kinds = _best(marks, starts_s, ends_s)
    return tuple(
        Breath(number, kind, _reason(kind, mark, index == len(marks) - 1))
        for index, (kind, mark) in enumerate(zip(kinds, marks, strict=True))
    )


def _best(
    marks: Sequence[Mark], starts_s: Sequence[float], ends_s: Sequence[float]
) -> list[BreathKind]:
    """Least total cost; best[i] is over the lines before i with a breath taken at i's start."""
    table = load("lift")
    longest_s = load("tempo").number("breath.longest_s")
    over_long = table.number("carry.over_long")
    count = len(marks)
    best: list[tuple[float, list[BreathKind]]] = [(0.0, [])]
    for end in range(count):
        options = []
        for start in range(end + 1):
            cost, kinds = best[start]
            carried = range(start, end)
            cost += sum(table[_COSTS["carry"]][marks[line]] for line in carried)
            if end > start:  # a single line is what it is, breathing won't shorten it
                cost += over_long * max(0.0, ends_s[end] - starts_s[start] - longest_s)
            taken: list[BreathKind] = ["full"] if end == count - 1 else ["full", "part"]
            for kind in taken:
                total = cost + (0.0 if end == count - 1 else table[_COSTS[kind]][marks[end]])
                options.append((total, [*kinds, *(_CARRY for _ in carried), kind]))
        best.append(min(options, key=lambda option: option[0]))
    return best[count][1]


def _reason(kind: BreathKind, mark: Mark, final: bool) -> str:
    if final:
        return "The stanza ends."
    said = _SAID[mark]
    if kind == "carry":
        return f"There is {said} and the breath still reaches: carry."
    if mark == "none":
        return "There is no mark, but the breath would not reach the next one: lift."
    if kind == "part":
        return f"There is {said}: the melody lifts, the other voices go through."
    return f"There is {said}: all voices lift."
