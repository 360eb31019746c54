"""Takes of a part alone: a voice, a hand, the pedal, a pair, as practice tasks record them.

Which voices were played is the choice of voices under which the take is likeliest; only a
take with clearly fewer keys to a chord than the hymn has is asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from suspirium.tables import load
from suspirium.take.expected import Chord, Way
from suspirium.take.path import Chords

Part = tuple[str, ...]


def thin(chords: Chords, sizes: Sequence[int]) -> bool:
    """Whether clusters of these `sizes` have so few keys that voices may be missing."""
    usual = float(chords.size.mean())
    return sum(sizes) / len(sizes) < load("take").number("part.keys_least") * usual


def parts(voices: Part) -> Iterator[Part]:
    """What may be played of these voices, high to low: any of them, but of many voices only
    neighbours."""
    if len(voices) <= int(load("take")["part.voices_most"]):
        for count in range(1, len(voices)):
            yield from combinations(voices, count)
        return
    for first in range(len(voices)):
        for last in range(first + 1, len(voices) + 1):
            if last - first < len(voices):
                yield voices[first:last]


def part_ways(ways: Sequence[Way], part: Part, *, lenient: bool = False) -> tuple[Way, ...]:
    """The ways with the keys of `part` only; `lenient` lets other voices' keys be struck:
    a hand takes a note of its neighbour."""
    return tuple(replace(way, chords=_chords(way, frozenset(part), lenient)) for way in ways)


def _chords(way: Way, part: frozenset[str], lenient: bool) -> tuple[Chord, ...]:
    own = [kept for chord in way.chords if (kept := _of(chord, part, lenient)).keys]
    closing_q = {chord.phrase: chord.onset_q for chord in way.chords if chord.closes}
    last_q = {
        chord.phrase: chord.onset_q
        for chord in own
        if chord.onset_q <= closing_q.get(chord.phrase, chord.onset_q)
    }
    return tuple(
        replace(
            chord,
            opens=index == 0 or own[index - 1].phrase != chord.phrase,
            closes=last_q.get(chord.phrase) == chord.onset_q,
        )
        for index, chord in enumerate(own)
    )


def _of(chord: Chord, part: frozenset[str], lenient: bool) -> Chord:
    keys = tuple(
        replace(key, voices=tuple(voice for voice in key.voices if voice in part))
        for key in chord.keys
        if part.intersection(key.voices)
    )
    own = {key.midi for key in keys}
    others = {key.midi for key in chord.keys} if lenient else set()
    return replace(chord, keys=keys, may=tuple(sorted(({*chord.may} | others) - own)))
