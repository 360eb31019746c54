"""Words under a voice, from the verses on its events."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from suspirium.score.mei.events import Event, Verse
from suspirium.score.mei.strands import Strand
from suspirium.score.melisma import last_notes, reached
from suspirium.score.model import Stanza, Syllable, Voice

_NUMBER = re.compile(r"\(?(\d{1,3})\b")


def stanzas_of(strand: Strand, voice: Voice) -> tuple[Stanza, ...]:
    """The stanzas under a voice by number; a printed number goes before the line's place."""
    under = _by_place(strand.events)
    if not under:
        return ()
    sung = {i for verses in under.values() for i, verse in verses.items() if verse.text}
    led_to = reached(voice.notes)
    numbers = _numbers(under)
    found = [
        Stanza(numbers[place], _syllables(voice, verses, led_to, sung), voice.name)
        for place, verses in under.items()
    ]
    return tuple(sorted((s for s in found if s.syllables), key=lambda s: s.number))


def _by_place(events: Sequence[Event]) -> dict[str, dict[int, Verse]]:
    """For each line of words, what it has under which event."""
    found: dict[str, dict[int, Verse]] = {}
    for index, event in enumerate(events):
        for verse in event.verses:
            if event.heads and (verse.text or index):
                found.setdefault(verse.place, {}).setdefault(index, verse)
    return found


def renumbered(strand: Strand) -> list[tuple[int, int]]:
    """Printed stanza numbers, with those given instead where they differ."""
    under = _by_place(strand.events)
    numbers = _numbers(under)
    return [(said, numbers[p]) for p, said in _printed(under).items() if said != numbers[p]]


def _printed(under: dict[str, dict[int, Verse]]) -> dict[str, int]:
    """The number that the first numbered syllable of each line prints."""
    found: dict[str, int] = {}
    for place, verses in under.items():
        for verse in verses.values():
            label = _NUMBER.match(verse.label)
            if label:
                found.setdefault(place, int(label[1]))
    return found


def _numbers(under: dict[str, dict[int, Verse]]) -> dict[str, int]:
    """Stanza numbers: the printed ones unless they clash, else the lines' places."""
    printed = _printed(under)
    places = {
        place: int(place) if place.isdigit() else index
        for index, place in enumerate(under, start=1)
    }
    counted = {place: index for index, place in enumerate(under, start=1)}
    choices = ({**places, **printed}, places, counted)
    return next(choice for choice in choices if len(set(choice.values())) == len(choice))


def _syllables(
    voice: Voice, verses: dict[int, Verse], led_to: Sequence[bool], sung: Collection[int]
) -> tuple[Syllable, ...]:
    starts = {index: verse.joins_next for index, verse in verses.items() if verse.text}
    holds = {index for index, verse in verses.items() if verse.holds}
    blanks = set(range(len(voice.notes))) - {i for i in verses if i not in starts}
    last = last_notes(voice.notes, led_to, starts, holds, sung, blanks)
    return tuple(
        Syllable(
            voice.notes[index].onset_q,
            voice.notes[end].end_q,
            verses[index].text,
            verses[index].joins_next,
        )
        for index, end in last.items()
    )
