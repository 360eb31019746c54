"""Words as MusicXML lyrics: which note has what of which stanza."""

from __future__ import annotations

from collections.abc import Collection, Sequence
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
    led_to = reached(notes)
    sung = {at[s.onset_q] for stanza in stanzas for s in stanza.syllables if s.onset_q in at}
    found: dict[Fraction, list[Lyric]] = {}
    for stanza in stanzas:
        for index, lyric in _of_stanza(notes, stanza, at, led_to, sung):
            found.setdefault(notes[index].onset_q, []).append(lyric)
    return found


def _of_stanza(
    notes: Sequence[Note],
    stanza: Stanza,
    at: dict[Fraction, int],
    led_to: Sequence[bool],
    sung: Collection[int],
) -> list[tuple[int, Lyric]]:
    syllables = [s for s in stanza.syllables if s.onset_q in at]
    starts = {at[s.onset_q]: s.joins_next for s in syllables}
    taken = last_notes(notes, led_to, starts, (), sung)
    found: list[tuple[int, Lyric]] = []
    inside = False
    for syllable in syllables:
        start = at[syllable.onset_q]
        covered = [i for i in _covered(notes, start, syllable) if i not in starts]
        extends = bool(covered) and not syllable.joins_next
        found.append((start, Lyric(stanza.number, syllable, inside, "start" if extends else "")))
        for index in covered:
            told = index > taken[start]
            stops = extends and index == covered[-1]
            if stops or told:
                extend = "stop" if stops else "continue"
                found.append((index, Lyric(stanza.number, None, extend=extend, told=told)))
        unsung = [i for i in range(start + 1, taken[start] + 1) if notes[i].pitches]
        beyond = [i for i in unsung if notes[i].onset_q >= syllable.end_q]
        if beyond:
            found.append((beyond[0], Lyric(stanza.number, None, told=True)))
        inside = syllable.joins_next
    return found


def _covered(notes: Sequence[Note], start: int, syllable: Syllable) -> list[int]:
    """The notes after its own that a syllable covers."""
    found = []
    for index in range(start + 1, len(notes)):
        if notes[index].onset_q >= syllable.end_q:
            break
        if notes[index].pitches:
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
