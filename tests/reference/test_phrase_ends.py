"""Line ends against printed metres, fermatas and the phrase marks of folk songs.

Sources:
- hymns: Open Hymnal Project, 2013 edition (public repository mzealey/openhymnal, commit
  d35811b), line ends counted off by the printed metre; skipped where the folder is absent;
- chorales: four-part chorales of music21's corpus, whose soprano fermatas are hidden;
- folk songs: the Essen collection in music21's corpus, one phrase a line of its files. A
  rule-based model found their phrase ends with F1 .66 and a statistical one with .58
  (Pearce, Müllensiefen & Wiggins 2008; recalled from memory).

The hymns and chorales also taught the weights, so that here they only keep a change from
making things worse; what to expect of other hymns is printed by
``benchmarks/phrases/evaluate.py``, which learns anew without the tunes it is measured on.
The folk songs taught nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from statistics import mean, median

from music21 import corpus

from suspirium.errors import ScoreError
from suspirium.plan.phrases import find_phrases
from suspirium.score.model import Hymn, Note
from suspirium.score.reading import read
from tests.conftest import HYMNS

Ends = Sequence[tuple[Fraction, Fraction]]

EVERY = 40  # one folk song in so many
CHORALES = 8  # one chorale in so many
GROUPER = 0.66
LONG = 2


def f1(onsets: Sequence[Fraction], ends: Ends) -> float:
    """An end is found if any note of the line's last syllable is named; internal ends only."""
    if not onsets or not ends:
        return float(not onsets and not ends)
    right = sum(any(low <= onset <= high for low, high in ends) for onset in onsets)
    found = sum(any(low <= onset <= high for onset in onsets) for low, high in ends)
    if not right:
        return 0.0
    precision, recall = right / len(onsets), found / len(ends)
    return 2 * precision * recall / (precision + recall)


def found_ends(hymn: Hymn, *, words: bool) -> list[Fraction]:
    return [span.last_onset_q for span in find_phrases(hymn, words=words)[:-1]]


def sounding(hymn: Hymn) -> list[Note]:
    return [note for note in hymn.melody.notes if not note.is_rest]


def long_notes(hymn: Hymn) -> list[Fraction]:
    """The rule of the long note: an end wherever a note lasts twice the median."""
    notes = sounding(hymn)
    least_q = LONG * median(note.duration_q for note in notes)
    return [note.onset_q for note in notes[:-1] if note.duration_q >= least_q]


def unmarked(hymn: Hymn) -> Hymn:
    """Without fermatas and printed metre."""
    voices = tuple(
        replace(voice, notes=tuple(replace(note, fermata=False) for note in voice.notes))
        for voice in hymn.voices
    )
    return replace(hymn, voices=voices, metre="")


def labelled(labels: dict[str, dict[str, object]]) -> Iterator[tuple[Hymn, Ends]]:
    for stem, label in labels.items():
        spans = label.get("line_ends")
        if isinstance(spans, list):
            hymn = unmarked(read((HYMNS / f"{stem}.abc").read_bytes(), f"{stem}.abc"))
            onsets = [note.onset_q for note in sounding(hymn)]
            yield hymn, [(onsets[first], onsets[last]) for first, last in spans[:-1]]


def test_hymns_with_words_and_from_notes(hymn_labels: dict[str, dict[str, object]]) -> None:
    hymns = list(labelled(hymn_labels))
    assert len(hymns) > 90
    assert mean(f1(found_ends(h, words=True), ends) for h, ends in hymns) >= 0.985
    assert mean(f1(found_ends(h, words=False), ends) for h, ends in hymns) >= 0.955
    assert mean(f1(long_notes(h), ends) for h, ends in hymns) < 0.6


def folk_songs() -> Iterator[tuple[Hymn, Ends]]:
    """Every so many-th song; the files beam by beat, which says nothing of syllables, so
    the beams are taken out."""
    files = [path for path in corpus.getCorePaths() if "essenFolksong" in path.parts]
    for path in sorted(files):
        for song in re.split(r"\n(?=X:)", path.read_text("utf-8", "replace"))[::EVERY]:
            lines = [line for line in song.strip().splitlines() if line.strip()]
            heading = next((i for i, line in enumerate(lines) if line.startswith("K:")), None)
            if heading is None:
                continue
            music = [NOTE.sub(r"\g<0> ", line) for line in lines[heading + 1 :]]
            try:
                hymn = read("\n".join([*lines[: heading + 1], *music, ""]).encode(), "song.abc")
            except ScoreError:
                continue
            counts = [count for line in music if (count := len(NOTE.findall(line)))]
            notes = sounding(hymn)
            if len(counts) > 1 and sum(counts) == len(notes):
                places = [sum(counts[: n + 1]) - 1 for n in range(len(counts) - 1)]
                yield hymn, [(notes[at].onset_q, notes[at].onset_q) for at in places]


NOTE = re.compile(r"[_=^]*[A-Ga-g][,']*[0-9/]*")


def test_folk_songs_better_than_published_models() -> None:
    songs = list(folk_songs())
    assert len(songs) > 150
    assert mean(f1(found_ends(h, words=False), ends) for h, ends in songs) > GROUPER


def chorales() -> Iterator[tuple[Hymn, Ends]]:
    """One chorale in so many with its fermatas as ends; at least two inside."""
    paths = sorted(p for p in corpus.getComposer("bach") if p.suffix == ".mxl")
    for path in paths[::CHORALES]:
        hymn = read(path.read_bytes(), path.name)
        notes = sounding(hymn)
        ends = [(n.onset_q, n.onset_q) for n in notes[:-1] if n.fermata]
        if len(hymn.voices) == 4 and len(ends) > 1:
            yield unmarked(hymn), ends


def test_chorales_in_german_and_from_notes() -> None:
    """English hymns taught the weights for words: German ones are strange to them."""
    found = list(chorales())
    assert len(found) > 30
    worded = [(hymn, ends) for hymn, ends in found if hymn.stanzas]
    german = mean(f1(found_ends(h, words=True), ends) for h, ends in worded)
    notes = mean(f1(found_ends(h, words=False), ends) for h, ends in found)
    assert german >= 0.9
    assert notes >= 0.96
