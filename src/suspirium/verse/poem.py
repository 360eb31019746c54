"""The words under a tune as a poem: stanzas, their lines, and the words of each with the
syllables that sing them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from suspirium.score.model import Hymn, Syllable
from suspirium.score.words import sung
from suspirium.verse.slots import Lines
from suspirium.verse.words import sung_letters


@dataclass(frozen=True, slots=True)
class SungWord:
    """A word under the notes: as printed, in small letters, and its syllables."""

    printed: str
    letters: str
    syllables: tuple[Syllable, ...]


SungLine = tuple[SungWord, ...]
SungStanza = tuple[SungLine, ...]


def poem(hymn: Hymn, lines: Lines) -> tuple[SungStanza, ...]:
    """The sung words of every stanza, by the tune's lines (their first and last onsets).

    A line that a stanza does not sing is empty.
    """
    stanzas = []
    for stanza in hymn.stanzas:
        syllables = sung(hymn, stanza.number)
        stanzas.append(
            tuple(
                tuple(words_sung(s for s in syllables if first_q <= s.onset_q <= last_q))
                for first_q, last_q in lines
            )
        )
    return tuple(stanzas)


def words_sung(syllables: Iterable[Syllable]) -> Iterator[SungWord]:
    """Syllables joined to words; what has no letters is passed over."""
    word: list[Syllable] = []
    for syllable in syllables:
        word.append(syllable)
        if not syllable.joins_next:
            yield from _word(word)
            word = []
    yield from _word(word)


def _word(syllables: list[Syllable]) -> Iterator[SungWord]:
    printed = "".join(syllable.text for syllable in syllables)
    if letters := sung_letters(printed):
        yield SungWord(printed, letters, tuple(syllables))
