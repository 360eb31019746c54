"""The poetic metre: syllables a line, by majority over the stanzas, and its name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from suspirium.score.model import Hymn
from suspirium.score.words import sung
from suspirium.tables import load
from suspirium.verse.languages import language_of
from suspirium.verse.readings import line_count
from suspirium.verse.slots import Lines
from suspirium.verse.words import words_of

_SHORTEST_BLOCK = 3  # lines that may be repeated to make a metre
_SHORT = 5  # syllables: lines that two of which may be printed as one


@dataclass(frozen=True, slots=True)
class Metre:
    """Syllables of each line; `agreement` is the share of stanza lines that have just these."""

    lines: tuple[int, ...]
    agreement: float

    def __str__(self) -> str:
        return metre_text(self.lines)

    @property
    def name(self) -> str:
        """The trade's name ("common metre doubled"), or the numbers."""
        return metre_name(self.lines)


def metre_text(lines: Sequence[int]) -> str:
    """Numbers of syllables as printed: "8.6.8.6"."""
    return ".".join(str(count) for count in lines)


def metre_name(lines: Sequence[int]) -> str:
    """The name of a metre, twice the same with "doubled" or D; numbers where it has none."""
    names = load("metres")["names"]
    whole = metre_text(lines)
    half = metre_text(lines[: len(lines) // 2])
    twice = len(lines) >= 8 and list(lines[: len(lines) // 2]) * 2 == list(lines)
    if whole in names:
        return str(names[whole])
    if not twice:
        return whole
    return f"{names[half]} doubled" if half in names else f"{half} D"


def text_metre(stanzas: Sequence[Sequence[str]], language: str | None = None) -> Metre | None:
    """The metre of plain text, from the usual counts of its words; None without any words.

    Stanzas with another number of lines than most have no say.
    """
    tongue = language or language_of([line for stanza in stanzas for line in stanza])
    counted = [
        [line_count(tuple(word.sung for word in words), tongue) for words in rows if words]
        for rows in ([words_of(line) for line in stanza] for stanza in stanzas)
    ]
    return _majority([row for row in counted if row])


def tune_metre(hymn: Hymn, lines: Lines) -> Metre | None:
    """The metre of the words under a tune whose lines have these first and last onsets.

    Each line counts in the stanzas that sing it; None where no stanza has words.
    """
    rows = [
        [sum(first <= syllable.onset_q <= last for syllable in syllables) for first, last in lines]
        for stanza in hymn.stanzas
        if (syllables := sung(hymn, stanza.number))
    ]
    found = _majority(rows)
    return found and Metre(as_printed(found.lines), found.agreement)


def as_printed(lines: tuple[int, ...]) -> tuple[int, ...]:
    """Lines as indexes count them: where a metre is in none, but is when neighbouring short
    lines are joined (4 and 4 to 8), the commonest such metre; where it would repeat itself
    but for pairs of lines that were taken as one, the repeated one."""
    known = load("phrases")["metres"]
    if metre_text(lines) in known:
        return lines
    if whole := _repeated(lines):
        return whole
    ways = [way for way in _joined(lines) if metre_text(way) in known]
    return max(ways, key=lambda way: known[metre_text(way)], default=lines)


def _repeated(lines: tuple[int, ...]) -> tuple[int, ...] | None:
    """The beginning of a metre so often that it makes the whole, if pairs are joined."""
    for size in range(_SHORTEST_BLOCK, len(lines)):
        times, rest = divmod(sum(lines), sum(lines[:size]))
        whole = lines[:size] * times
        if times > 1 and not rest and _are_joined(lines, whole):
            return whole
    return None


def _are_joined(lines: Sequence[int], parts: Sequence[int]) -> bool:
    """Whether lines are those of `parts`, some pairs of them taken as one."""
    at = 0
    for line in lines:
        pieces = next((n for n in (1, 2) if sum(parts[at : at + n]) == line), 0)
        if not pieces:
            return False
        at += pieces
    return at == len(parts)


def _joined(lines: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """All ways to join pairs of neighbouring short lines."""
    if len(lines) < 2:
        yield lines
        return
    for rest in _joined(lines[1:]):
        yield (lines[0], *rest)
    if max(lines[:2]) <= _SHORT:
        for rest in _joined(lines[2:]):
            yield (lines[0] + lines[1], *rest)


def _majority(rows: Sequence[Sequence[int]]) -> Metre | None:
    """Line by line the commonest count that is not 0, the earlier stanza's in a tie."""
    if not rows:
        return None
    width = Counter(len(row) for row in rows).most_common(1)[0][0]
    kept = [row for row in rows if len(row) == width]
    columns = [[count for count in column if count] for column in zip(*kept, strict=True)]
    columns = [column for column in columns if column]
    if not columns:
        return None
    chosen = tuple(Counter(column).most_common(1)[0][0] for column in columns)
    right = sum(column.count(count) for column, count in zip(columns, chosen, strict=True))
    return Metre(chosen, right / sum(len(column) for column in columns))
