"""Chorales read by music21 and by the program's own reader say the same.

Reference: music21's MusicXML parser (https://www.music21.org, BSD licence) on the Bach
chorales of its corpus, which comes with the library; nothing of it is kept here. A fixed
sample is checked; with SUSPIRIUM_ALL=1 in the environment, all of them.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest

from suspirium.score.mei import read_score
from suspirium.score.model import Hymn, Stanza, Voice
from suspirium.score.naming import FOUR_PARTS

music21 = pytest.importorskip("music21")

SAMPLE = 60
PRELUDE = "bwv846"
Pair = tuple[Hymn, list]


def _chorales() -> list[Path]:
    """Paths of the corpus's compressed MusicXML chorales, evenly thinned to the sample."""
    found = (Path(path) for path in music21.corpus.getComposer("bach"))
    paths = sorted(path for path in found if path.suffix == ".mxl" and path.stem != PRELUDE)
    if os.environ.get("SUSPIRIUM_ALL") == "1":
        return paths
    return paths[:: max(1, len(paths) // SAMPLE)][:SAMPLE]


@pytest.fixture(scope="module", params=_chorales(), ids=lambda path: path.stem)
def pair(request) -> Pair:
    """A chorale as read here, and music21's parts that are its four voices."""
    path = request.param
    score = music21.converter.parse(str(path), forceSource=True, storePickle=False)
    return read_score(path.read_bytes(), path.name), _four(list(score.parts))


def _four(parts: list) -> list:
    """The four voices among the parts; with two sopranos the case is another one."""
    if len(parts) == len(FOUR_PARTS):
        return parts
    named = [[p for p in parts if p.partName.lower().startswith(name)] for name in FOUR_PARTS]
    if any(len(found) != 1 for found in named):
        pytest.skip("not one part for each voice")
    return [found[0] for found in named]


def _q(value: float) -> Fraction:
    return Fraction(value).limit_denominator(96)


def _notes(part) -> list[tuple[Fraction, Fraction, tuple[int, ...]]]:
    return [
        (_q(n.offset), _q(n.quarterLength), tuple(sorted(p.midi for p in n.pitches)))
        for n in part.flatten().notes
        if not n.duration.isGrace
    ]


def _own_notes(voice: Voice) -> list[tuple[Fraction, Fraction, tuple[int, ...]]]:
    return [
        (note.onset_q, note.duration_q, tuple(pitch.midi for pitch in note.pitches))
        for note in voice.notes
        if note.pitches
    ]


def _fermatas(part) -> list[Fraction]:
    return [
        _q(n.offset)
        for n in part.flatten().notesAndRests
        if any("Fermata" in sign.classes for sign in n.expressions)
    ]


def _words(part) -> list[tuple[int, Fraction, str]]:
    """Stanza, onset and text; a printed number is the stanza's where no two then agree."""
    found = [
        (lyric.number, _q(n.offset), " ".join(lyric.text.split()))
        for n in part.flatten().notes
        for lyric in n.lyrics
        if lyric.text and lyric.text.strip()
    ]
    numbers = {line: line for line, _, _ in found}
    for line, _, text in found:
        if printed := re.match(r"(\d+)[.] ", text):
            numbers[line] = int(printed[1])
    if len(set(numbers.values())) < len(numbers):
        numbers = {line: line for line in numbers}
    return sorted(
        (numbers[line], onset_q, re.sub(r"^\d+[.] ", "", text)) for line, onset_q, text in found
    )


def _own_words(stanzas: tuple[Stanza, ...], voice: str) -> list[tuple[int, Fraction, str]]:
    return sorted(
        (stanza.number, syllable.onset_q, syllable.text)
        for stanza in stanzas
        if stanza.voice == voice
        for syllable in stanza.syllables
    )


def _changes(part, kind: str) -> tuple[tuple[Fraction, object], ...]:
    """Signatures with their onsets, repeated ones left out."""
    found: list[tuple[Fraction, object]] = []
    for sign in part.flatten().getElementsByClass(kind):
        value = sign.ratioString if kind == "TimeSignature" else sign.sharps
        if not found or found[-1][1] != value:
            found.append((_q(sign.offset), value))
    return tuple(found)


def _most(parts: list, kind: str) -> tuple[tuple[Fraction, object], ...]:
    """What most parts have: three pieces of the corpus print one part in another key."""
    return Counter(_changes(part, kind) for part in parts).most_common(1)[0][0]


def test_notes(pair: Pair):
    hymn, parts = pair
    assert [voice.name for voice in hymn.voices] == list(FOUR_PARTS)
    for voice, part in zip(hymn.voices, parts, strict=True):
        assert _own_notes(voice) == _notes(part), voice.name


def test_fermatas(pair: Pair):
    hymn, parts = pair
    for voice, part in zip(hymn.voices, parts, strict=True):
        own = [note.onset_q for note in voice.notes if note.fermata]
        assert own == _fermatas(part), voice.name


def test_words(pair: Pair):
    hymn, parts = pair
    for voice, part in zip(hymn.voices, parts, strict=True):
        own = _own_words((*hymn.stanzas, *hymn.other_words), voice.name)
        assert own == _words(part), voice.name


def test_pickup(pair: Pair):
    hymn, parts = pair
    first = next(iter(parts[0].getElementsByClass("Measure")))
    bar_q = _q(first.barDuration.quarterLength)
    length_q = _q(first.duration.quarterLength)
    assert hymn.pickup_q == (length_q if length_q < bar_q else 0)


def test_signatures(pair: Pair):
    hymn, parts = pair
    times = tuple((change.onset_q, str(change.time)) for change in hymn.times)
    keys = tuple((change.onset_q, change.fifths) for change in hymn.keys)
    assert times == _most(parts, "TimeSignature")
    assert keys == _most(parts, "KeySignature")
