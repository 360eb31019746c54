"""Words as MusicXML lyrics: which note has what of which stanza."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree

from suspirium.score.melisma import last_notes, reached
from suspirium.score.model import Note, Stanza, Syllable


@dataclass(frozen=True, slots=True)
class Lyric:
    """What one stanza has under a note; without syllable the one before is still sung.

    `extend` is "start", "continue" or "stop" where the syllable's line begins, goes on or
    ends. `told` says that without a mark a reader would be wrong about the note: an empty
    text with a line is a note still sung, one without is a note not sung.
    """

    number: int
    syllable: Syllable | None
    inside: bool = False  # the syllable goes on with a word
    extend: str = ""
    told: bool = False


def lyrics_of(notes: Sequence[Note], stanzas: Sequence[Stanza]) -> dict[Fraction, list[Lyric]]:
    """The lyrics of one voice by the onset of their note, stanzas in order."""
    at = {note.onset_q: i for i, note in enumerate(notes) if note.pitches}
    sung = {at[s.onset_q] for stanza in stanzas for s in stanza.syllables if s.onset_q in at}
    led_to = reached(notes)
    found: dict[Fraction, list[Lyric]] = {}
    for stanza in stanzas:
        line = _Line(notes, {at[s.onset_q]: s for s in stanza.syllables if s.onset_q in at})
        for index, lyric in line.lyrics(stanza.number, led_to, sung):
            found.setdefault(notes[index].onset_q, []).append(lyric)
    return found


@dataclass(frozen=True, slots=True)
class _Line:
    """The words of one stanza: its syllables by the index of their note."""

    notes: Sequence[Note]
    syllables: dict[int, Syllable]

    def lyrics(
        self, number: int, led_to: Sequence[bool], sung: Collection[int]
    ) -> Iterator[tuple[int, Lyric]]:
        """Lyrics with the index of their note: syllables, ends of lines, marks for a reader."""
        joins = {index: syllable.joins_next for index, syllable in self.syllables.items()}
        melismas = {index: self._melisma(index) for index in self.syllables}
        plain = last_notes(self.notes, led_to, joins, (), sung)
        holds = {i for start, melisma in melismas.items() for i in melisma if i > plain[start]}
        marked = last_notes(self.notes, led_to, joins, holds, sung)
        inside = False
        for start, syllable in sorted(self.syllables.items()):
            melisma = melismas[start]
            extends = bool(melisma) and not syllable.joins_next
            yield start, Lyric(number, syllable, inside, "start" if extends else "")
            for index in melisma:
                if index in holds:
                    yield index, Lyric(number, None, extend="continue", told=True)
                elif extends and index == melisma[-1]:
                    yield index, Lyric(number, None, extend="stop")
            beyond = range(max([start, *melisma]) + 1, marked[start] + 1)
            unsung = next((i for i in beyond if self.notes[i].pitches), None)
            if unsung is not None:
                yield unsung, Lyric(number, None, told=True)
            inside = syllable.joins_next

    def _melisma(self, start: int) -> list[int]:
        """The notes after its own to which a syllable is sung."""
        end_q = self.syllables[start].end_q
        found = []
        for index in range(start + 1, len(self.notes)):
            if self.notes[index].onset_q >= end_q:
                break
            if self.notes[index].pitches and index not in self.syllables:
                found.append(index)
        return found


def add_lyric(note: etree._Element, lyric: Lyric) -> None:
    """Write a lyric under a note."""
    element = etree.SubElement(note, "lyric", number=str(lyric.number))
    if lyric.syllable is None:
        if lyric.told:
            etree.SubElement(element, "text")
        if lyric.extend:
            etree.SubElement(element, "extend", type=lyric.extend)
        return
    words = lyric.syllable.text.split(" ")
    for place, word in enumerate(words):
        if place:
            etree.SubElement(element, "elision").text = " "
        after = lyric.syllable.joins_next and place == len(words) - 1
        syllabic = _syllabic(lyric.inside and place == 0, after)
        etree.SubElement(element, "syllabic").text = syllabic
        etree.SubElement(element, "text").text = word
    if lyric.extend:
        etree.SubElement(element, "extend", type=lyric.extend)


def _syllabic(inside: bool, goes_on: bool) -> str:
    if inside:
        return "middle" if goes_on else "end"
    return "begin" if goes_on else "single"
