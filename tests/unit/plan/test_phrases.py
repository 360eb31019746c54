"""Finding lines: what holds for any hymn, and what a few small ones must give."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings

from suspirium.plan.phrases import find_phrases
from suspirium.plan.phrases.model import PhraseSpan
from suspirium.score.model import Hymn, Measure, Note, Span, Syllable, TimeSignature
from suspirium.score.pitch import Pitch
from suspirium.score.reading import read
from suspirium.score.sounding import melody_tones
from tests import build
from tests.conftest import PARISH
from tests.strategies import hymns

Q = Fraction
NO_SHRINK = (Phase.explicit, Phase.reuse, Phase.generate)  # random hymns shrink slowly
SCORES = sorted(PARISH.glob("*.abc"))


def scaled(hymn: Hymn, factor: Fraction) -> Hymn:
    """The hymn written in other note values."""

    def note(one: Note) -> Note:
        return replace(one, onset_q=one.onset_q * factor, duration_q=one.duration_q * factor)

    def measure(one: Measure) -> Measure:
        return replace(one, onset_q=one.onset_q * factor, duration_q=one.duration_q * factor)

    def syllable(one: Syllable) -> Syllable:
        return replace(one, onset_q=one.onset_q * factor, end_q=one.end_q * factor)

    return replace(
        hymn,
        voices=tuple(replace(v, notes=tuple(map(note, v.notes))) for v in hymn.voices),
        measures=tuple(map(measure, hymn.measures)),
        stanzas=tuple(
            replace(s, syllables=tuple(map(syllable, s.syllables))) for s in hymn.stanzas
        ),
        times=tuple(
            replace(t, onset_q=t.onset_q * factor, time=_scaled_time(t.time, factor))
            for t in hymn.times
        ),
        keys=tuple(replace(k, onset_q=k.onset_q * factor) for k in hymn.keys),
        refrains=tuple(Span(r.start_q * factor, r.end_q * factor) for r in hymn.refrains),
    )


def _scaled_time(time: TimeSignature | None, factor: Fraction) -> TimeSignature | None:
    if time is None:
        return None
    unit = time.unit / factor
    assert unit.denominator == 1
    return TimeSignature(time.beats, int(unit))


def transposed(hymn: Hymn, octaves: int) -> Hymn:
    """The hymn so many octaves higher."""

    def pitch(one: Pitch) -> Pitch:
        return replace(one, octave=one.octave + octaves)

    def note(one: Note) -> Note:
        return replace(one, pitches=tuple(map(pitch, one.pitches)))

    return replace(
        hymn,
        voices=tuple(replace(v, notes=tuple(map(note, v.notes))) for v in hymn.voices),
    )


def places(spans: tuple[PhraseSpan, ...]) -> list[tuple[Fraction, Fraction, Fraction]]:
    return [(s.first_onset_q, s.last_onset_q, s.end_q) for s in spans]


@given(hymns())
@settings(max_examples=60, phases=NO_SHRINK)
def test_lines_part_the_melody(hymn: Hymn) -> None:
    for words in (True, False):
        spans = find_phrases(hymn, words=words)
        tones = melody_tones(hymn)
        assert [span.number for span in spans] == list(range(1, len(spans) + 1))
        assert all(0 <= span.confidence <= 1 for span in spans)
        assert all(s.first_onset_q <= s.last_onset_q < s.end_q for s in spans)
        assert all(a.end_q <= b.first_onset_q for a, b in pairwise(spans))
        if tones:
            within = [
                sum(s.first_onset_q <= tone.onset_q < s.end_q for s in spans) for tone in tones
            ]
            assert within == [1] * len(tones)


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
@pytest.mark.parametrize("words", [True, False], ids=["words", "notes"])
def test_note_values_change_nothing(path: Path, words: bool) -> None:
    hymn = read(path.read_bytes(), path.name)
    found = places(find_phrases(hymn, words=words))
    for factor in (Q(2), Q(1, 2)):
        other = places(find_phrases(scaled(hymn, factor), words=words))
        assert [tuple(q / factor for q in span) for span in other] == found


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
@pytest.mark.parametrize("words", [True, False], ids=["words", "notes"])
def test_pitch_changes_nothing(path: Path, words: bool) -> None:
    hymn = read(path.read_bytes(), path.name)
    found = places(find_phrases(hymn, words=words))
    assert places(find_phrases(transposed(hymn, 1), words=words)) == found


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_the_same_hymn_gives_the_same_lines(path: Path) -> None:
    hymn = read(path.read_bytes(), path.name)
    assert find_phrases(hymn) == find_phrases(hymn)


@pytest.mark.parametrize(
    ("stem", "syllables"),
    [
        ("fallowmere", (8, 6, 8, 6)),
        ("netherwick", (8, 7, 8, 7)),
        ("osmerley", (8, 8, 8, 8)),
        ("quillerby", (6, 6, 8, 8, 6)),
    ],
)
def test_lines_of_the_parish(stem: str, syllables: tuple[int, ...]) -> None:
    path = PARISH / f"{stem}.abc"
    hymn = read(path.read_bytes(), path.name)
    sung = hymn.stanzas[0].syllables
    spans = find_phrases(hymn)
    assert (
        tuple(
            sum(s.first_onset_q <= syllable.onset_q <= s.last_onset_q for syllable in sung)
            for s in spans
        )
        == syllables
    )


def test_one_note_is_one_line() -> None:
    [span] = find_phrases(build.hymn("C4 |]"))
    assert (span.first_onset_q, span.last_onset_q, span.end_q) == (0, 0, 4)


def test_two_bars_are_a_line_or_two() -> None:
    assert len(find_phrases(build.hymn("C D E F | G4 |]"))) in (1, 2)


def test_free_metre_with_rests() -> None:
    tune = "C D E F G4 z2 G F E D C4 |]"
    spans = find_phrases(build.hymn(tune, metre="none"))
    assert [span.end_q for span in spans] == [8, 18]


def test_long_notes_end_lines_of_a_melody_alone() -> None:
    tune = "C D E F | G A G2 | G A B c | B A G2 | E F G A | G F E2 | C D E F | E D C2 |]"
    spans = find_phrases(build.hymn(tune))
    assert [span.end_q for span in spans] == [8, 16, 24, 32]


def test_a_fermata_ends_a_line_of_equal_notes() -> None:
    bars = "C D E F | G A G F | E D G {}C | A B c B | A G F E | F D C2 |]"
    without = find_phrases(build.hymn(bars.format("")))
    assert 12 not in {span.end_q for span in without}
    assert 12 in {span.end_q for span in find_phrases(build.hymn(bars.format("!fermata!")))}
