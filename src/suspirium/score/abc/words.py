"""Words under the notes: `w:` lines laid to the notes they stand under, and `W:` lines."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from suspirium.score.abc.music import Event
from suspirium.score.model import Stanza, Syllable

_PART = re.compile(r"(?P<gap>\s+)|(?P<mark>[|*_-])|(?P<text>(?:\\.|[^\s|*_\\-])+)|.")
_NUMBER = re.compile(r"(\d{1,3})(?:[.,:)]+~?|~)")
_PLAIN_NUMBER = re.compile(r"\s*(\d{1,3})[.,:)]\s*")
SYLLABLE, HOLD, SKIP, BAR = "syllable", "hold", "skip", "bar"
SHORT_GAP = 2  # so many unsung notes inside a stanza are a melisma, not a silence


@dataclass(slots=True)
class Word:
    """A token of a `w:` line; only syllables have text."""

    kind: str
    text: str = ""
    joins_next: bool = False


@dataclass(frozen=True, slots=True)
class Misfit:
    """Syllables for which a line of music has no notes."""

    onset_q: Fraction
    stanza: int
    texts: tuple[str, ...]


@dataclass(slots=True)
class _Laid:
    """One stanza while it is laid out: what stands under which note (by index)."""

    number: int
    under: dict[int, Word] = field(default_factory=dict)


def read_words(text: str) -> tuple[int | None, list[Word]]:
    """The stanza number a `w:` line begins with, if any, and its tokens (ABC 2.1, 5.1)."""
    number: int | None = None
    words: list[Word] = []
    after_gap = True
    for found in _PART.finditer(text):
        if found["text"]:
            shown = found["text"]
            named = _NUMBER.match(shown) if number is None and not _sung(words) else None
            if named:
                number, shown = int(named[1]), shown[named.end() :]
            if shown:
                words.append(Word(SYLLABLE, _shown(shown)))
            after_gap = False
        elif found["mark"] == "-":
            last = _sung(words)
            if last is not None:
                last.joins_next = True
            if after_gap:
                words.append(Word(HOLD))
            after_gap = True
        elif found["mark"]:
            words.append(Word({"_": HOLD, "*": SKIP, "|": BAR}[found["mark"]]))
            after_gap = True
        else:
            after_gap = True
    return number, words


def _sung(words: Sequence[Word]) -> Word | None:
    return next((word for word in reversed(words) if word.kind == SYLLABLE), None)


def _shown(text: str) -> str:
    text = text.replace("~", " ")
    return re.sub(r"\\(.)", r"\1", text).strip() if "\\" in text else text.strip()


class StanzaLayer:
    """Lays the `w:` lines of one voice; a line's place in its group says its stanza."""

    def __init__(self) -> None:
        self.misfits: list[Misfit] = []
        self._numbers: dict[int, int] = {}
        self._laid: dict[int, _Laid] = {}

    def lay(self, events: Sequence[Event], start: int, stop: int, lines: Iterable[str]) -> None:
        """Lay the lines of one group under the notes `start` to `stop` of `events`."""
        notes = [index for index in range(start, stop) if events[index].pitches]
        for place, line in enumerate(lines):
            number, words = read_words(line)
            if number is not None:
                self._numbers[place] = number
            stanza = self._numbers.get(place, place + 1)
            laid = self._laid.setdefault(stanza, _Laid(stanza))
            left = _place(laid, events, notes, words)
            if left:
                at_q = events[notes[-1]].onset_q if notes else Fraction(0)
                self.misfits.append(Misfit(at_q, stanza, tuple(left)))

    def stanzas(self, events: Sequence[Event], voice: str) -> tuple[Stanza, ...]:
        """All stanzas, by number, with the stretch of every syllable."""
        all_laid = [self._laid[number] for number in sorted(self._laid)]
        sung = {
            index
            for laid in all_laid
            for index, word in laid.under.items()
            if word.kind == SYLLABLE
        }
        found = [
            Stanza(laid.number, tuple(_syllables(laid, events, sung)), voice) for laid in all_laid
        ]
        return tuple(stanza for stanza in found if stanza.syllables)


def _place(
    laid: _Laid, events: Sequence[Event], notes: list[int], words: Iterable[Word]
) -> list[str]:
    """Put tokens under notes; returns the syllables that found none."""
    left: list[str] = []
    at, bars = 0, 0
    for word in words:
        if word.kind == BAR:
            bars += 1
            while at < len(notes) and events[notes[at]].bar - events[notes[0]].bar < bars:
                at += 1
        elif at < len(notes):
            laid.under[notes[at]] = word
            at += 1
        elif word.kind == SYLLABLE:
            left.append(word.text)
    return left


def _syllables(laid: _Laid, events: Sequence[Event], sung: set[int]) -> Iterable[Syllable]:
    """Syllables with their ends: each covers its melisma."""
    starts = [index for index in sorted(laid.under) if laid.under[index].kind == SYLLABLE]
    for index, after in zip(starts, [*starts[1:], None], strict=False):
        word = laid.under[index]
        last = index
        for other in _unsung(laid, events, index, after):
            if not _continues(laid, events, word, other, after, sung, other - index):
                break
            last = other
        yield Syllable(events[index].onset_q, events[last].end_q, word.text, word.joins_next)


def _unsung(laid: _Laid, events: Sequence[Event], index: int, after: int | None) -> Iterable[int]:
    stop = len(events) if after is None else after
    return (other for other in range(index + 1, stop) if events[other].pitches)


def _continues(
    laid: _Laid,
    events: Sequence[Event],
    word: Word,
    other: int,
    after: int | None,
    sung: set[int],
    distance: int,
) -> bool:
    """Whether the syllable `word` goes on over the note `other`.

    It does where a hold says so, where the note is slurred, tied or beamed to the one
    before, and where the blank can mean nothing else: inside a word, under notes no
    stanza has a syllable for, or for at most `SHORT_GAP` notes inside the stanza.
    """
    under = laid.under.get(other)
    if under is not None and under.kind == HOLD:
        return True
    if events[other].reached:
        return True
    if under is None:
        return False
    if word.joins_next or other not in sung:
        return True
    return after is not None and distance <= SHORT_GAP


def plain_stanzas(lines: Iterable[str]) -> tuple[list[int | None], tuple[tuple[str, ...], ...]]:
    """`W:` lines as stanzas, parted by blank ones; printed numbers apart, None if absent."""
    numbers: list[int | None] = []
    stanzas: list[list[str]] = []
    fresh = True
    for line in lines:
        named = _PLAIN_NUMBER.match(line)
        text = line[named.end() :].strip() if named else line.strip()
        if not text:
            fresh = fresh or not named
            continue
        if fresh or named:
            stanzas.append([])
            numbers.append(int(named[1]) if named else None)
        stanzas[-1].append(text)
        fresh = False
    return numbers, tuple(tuple(stanza) for stanza in stanzas)
