"""Words under the notes: `w:` lines laid to the notes they stand under, and `W:` lines."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from suspirium.score.abc.event import Event
from suspirium.score.melisma import last_notes
from suspirium.score.model import Stanza, Syllable

_PART = re.compile(r"(?P<gap>\s+)|(?P<mark>[|*_-])|(?P<text>(?:\\.|[^\s|*_\\-])+)|.")
_NUMBER = re.compile(r"(\d{1,3})(?:[.,:)]+~?|~)")
_PLAIN_NUMBER = re.compile(r"\s*(\d{1,3})[.,:)]\s*")
SYLLABLE, HOLD, SKIP, BAR = "syllable", "hold", "skip", "bar"


@dataclass(slots=True)
class Word:
    """A token of a `w:` line; only syllables have text."""

    kind: str
    text: str = ""
    joins_next: bool = False


Under = dict[int, Word]


@dataclass(frozen=True, slots=True)
class Misfit:
    """Syllables for which a line of music has no notes."""

    onset_q: Fraction
    stanza: int
    texts: tuple[str, ...]


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


@dataclass(frozen=True, slots=True)
class _Group:
    """The `w:` lines under one line of music, whose notes are `start` to `stop`."""

    start: int
    stop: int
    lines: tuple[tuple[int | None, list[Word]], ...]


class StanzaLayer:
    """Lays the `w:` lines of one voice; a line's place in its group says its stanza.

    A number printed before a line names the stanza of all lines at that place from there
    on (and of those before, where none is named); without any, places count from 1.
    """

    def __init__(self) -> None:
        self.misfits: list[Misfit] = []
        self._groups: list[_Group] = []

    def add(self, start: int, stop: int, lines: Iterable[str]) -> None:
        """Keep the lines of one group, to lie under the events `start` to `stop`."""
        self._groups.append(_Group(start, stop, tuple(read_words(line) for line in lines)))

    def stanzas(self, events: Sequence[Event], voice: str) -> tuple[Stanza, ...]:
        """All stanzas, by number, with the stretch of every syllable."""
        laid = self._lay(events)
        sung = {
            index
            for under in laid.values()
            for index, word in under.items()
            if word.kind == SYLLABLE
        }
        found = [
            Stanza(number, tuple(_syllables(laid[number], events, sung)), voice)
            for number in sorted(laid)
        ]
        return tuple(stanza for stanza in found if stanza.syllables)

    def _lay(self, events: Sequence[Event]) -> dict[int, Under]:
        """For each stanza, what stands under which event."""
        numbers: dict[int, int] = {}
        for group in reversed(self._groups):
            numbers.update((i, n) for i, (n, _) in enumerate(group.lines) if n is not None)
        laid: dict[int, Under] = {}
        for group in self._groups:
            notes = [i for i in range(group.start, group.stop) if events[i].pitches]
            for place, (number, words) in enumerate(group.lines):
                if number is not None:
                    numbers[place] = number
                stanza = numbers.setdefault(place, place + 1)
                left = _place(laid.setdefault(stanza, {}), events, notes, words)
                if left:
                    at_q = events[notes[-1]].onset_q if notes else Fraction(0)
                    self.misfits.append(Misfit(at_q, stanza, tuple(left)))
        return laid


def _place(
    under: Under, events: Sequence[Event], notes: list[int], words: Iterable[Word]
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
            under[notes[at]] = word
            at += 1
        elif word.kind == SYLLABLE:
            left.append(word.text)
    return left


def _syllables(under: Under, events: Sequence[Event], sung: set[int]) -> Iterable[Syllable]:
    """Syllables with their ends: each covers its melisma."""
    of_kind: dict[str, set[int]] = {SYLLABLE: set(), HOLD: set(), SKIP: set()}
    for index, word in under.items():
        of_kind[word.kind].add(index)
    starts = {index: under[index].joins_next for index in of_kind[SYLLABLE]}
    led_to = [event.reached for event in events]
    last = last_notes(events, led_to, starts, of_kind[HOLD], sung, of_kind[SKIP])
    for index in sorted(starts):
        word = under[index]
        yield Syllable(events[index].onset_q, events[last[index]].end_q, word.text, word.joins_next)


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
