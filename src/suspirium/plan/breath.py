"""Who breathes where: for each stanza a full lift, a part lift or a carry at every line end.

The punctuation of the stanza itself speaks; how long a breath lasts limits it. Chosen
for the whole stanza at once by dynamic programming over the line ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from suspirium.plan.model import Breath, BreathKind
from suspirium.score.model import Hymn, Syllable
from suspirium.score.words import plain_text, sung
from suspirium.tables import load
from suspirium.units import quarters_to_seconds
from suspirium.verse.languages import language_of
from suspirium.verse.sense import Grade, LineSense, mark_of, sense_of

_KINDS: tuple[BreathKind, ...] = ("full", "part", "carry")
_COSTS = {
    "full": "carry.cost_of_breath",
    "part": "carry.cost_of_part",
    "carry": "carry.cost_of_carry",
}
_STOP = LineSense("strong", "a stop")
_CARRY: BreathKind = "carry"


def last_syllable(
    syllables: Sequence[Syllable], first_q: Fraction, last_q: Fraction
) -> Syllable | None:
    """The syllable sung at the end of a line whose last note begins at `last_q`."""
    inside = [s for s in syllables if first_q <= s.onset_q <= last_q]
    return inside[-1] if inside else None


def line_senses(
    hymn: Hymn, number: int, lines: Sequence[tuple[Fraction, Fraction]]
) -> tuple[LineSense, ...]:
    """The sense at the end of each line of stanza `number`; `lines` are (first, last) onsets.

    A stanza without any mark says nothing: every end counts as a stop then.
    """
    syllables = sung(hymn, number)
    ends = [last_syllable(syllables, first, last) for first, last in lines]
    if not any(end and not end.joins_next and mark_of(end.text) != "none" for end in ends):
        return tuple(_STOP for _ in lines)
    texts = [
        plain_text(tuple(s for s in syllables if first <= s.onset_q <= last))
        for first, last in lines
    ]
    language = language_of(texts)
    return tuple(
        LineSense("bound", "a word that goes on")
        if end is not None and end.joins_next
        else sense_of(text, after, language)
        for text, end, after in zip(texts, ends, [*texts[1:], ""], strict=True)
    )


def choose_breaths(
    hymn: Hymn,
    number: int,
    lines: Sequence[tuple[Fraction, Fraction]],
    ends_q: Sequence[Fraction],
    quarter_bpm: float,
) -> tuple[Breath, ...]:
    """One `Breath` for each line of stanza `number`; the stanza's own end is a full one."""
    senses = line_senses(hymn, number, lines)
    starts_s = [quarters_to_seconds(first, quarter_bpm) for first, _ in lines]
    ends_s = [quarters_to_seconds(end, quarter_bpm) for end in ends_q]
    kinds = _best([sense.grade for sense in senses], starts_s, ends_s)
    return tuple(
        Breath(number, kind, _reason(kind, sense, index == len(senses) - 1))
        for index, (kind, sense) in enumerate(zip(kinds, senses, strict=True))
    )


def _best(
    marks: Sequence[Grade], starts_s: Sequence[float], ends_s: Sequence[float]
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


def _reason(kind: BreathKind, sense: LineSense, final: bool) -> str:
    if final:
        return "The stanza ends."
    said = sense.said
    if kind == "carry":
        return f"There is {said} and the breath still reaches: carry."
    if sense.grade in ("none", "bound"):
        return "There is no mark, but the breath would not reach the next one: lift."
    if kind == "part":
        return f"There is {said}: the melody lifts, the other voices go through."
    return f"There is {said}: all voices lift."
