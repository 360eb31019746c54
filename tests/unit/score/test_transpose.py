from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suspirium.errors import ScoreError
from suspirium.score.keynames import key_words, tonic_class
from suspirium.score.model import Hymn
from suspirium.score.pitch import Pitch
from suspirium.score.transpose import transposed
from tests.build import four_part, hymn
from tests.strategies import hymns


def plainly_spelled(found: Hymn) -> Hymn:
    """Without double signs and fingerings, in keys of at most five signs."""

    def calm(pitch: Pitch) -> Pitch:
        return replace(pitch, alter=max(-1, min(1, pitch.alter)))

    voices = tuple(
        replace(
            voice,
            notes=tuple(
                replace(
                    note,
                    pitches=tuple(
                        sorted(
                            {calm(pitch) for pitch in note.pitches},
                            key=lambda p: (p.midi, p.diatonic),
                        )
                    ),
                    graces=tuple(calm(pitch) for pitch in note.graces),
                    fingering=(),
                )
                for note in voice.notes
            ),
        )
        for voice in found.voices
    )
    keys = tuple(replace(key, fifths=max(-5, min(5, key.fifths))) for key in found.keys[:1])
    return replace(found, voices=voices, keys=keys)


@settings(max_examples=60)
@given(hymns(), st.integers(-6, 6))
def test_there_and_back_is_the_same_hymn(found: Hymn, semitones: int) -> None:
    start = plainly_spelled(found)
    there = transposed(start, semitones)
    back = transposed(there, -semitones, fifths=start.keys[0].fifths)
    assert back.keys == start.keys
    if all(
        abs(p.alter) < 2 for v in there.voices for n in v.notes for p in (*n.pitches, *n.graces)
    ):
        assert back == start
    else:  # a double sign may have been spelled more plainly: the keys are the same
        assert sounding(back) == sounding(start)


@settings(max_examples=60)
@given(hymns(), st.integers(-12, 12))
def test_everything_moves_by_the_semitones(found: Hymn, semitones: int) -> None:
    moved = transposed(found, semitones)
    assert sounding(moved) == [
        [tuple(midi + semitones for midi in chord) for chord in voice] for voice in sounding(found)
    ]
    assert all(abs(key.fifths) <= 7 for key in moved.keys)
    for old, new in zip(found.keys, moved.keys, strict=True):
        tonic = tonic_class(old.fifths, old.mode)
        assert tonic_class(new.fifths, new.mode) == (tonic + semitones) % 12
    assert moved.stanzas == found.stanzas
    assert moved.measures == found.measures


def sounding(found: Hymn) -> list[list[tuple[int, ...]]]:
    return [
        [tuple(sorted(p.midi for p in note.pitches)) for note in voice.notes]
        for voice in found.voices
    ]


def test_intervals_keep_their_spelling() -> None:
    start = four_part(
        "G A B ^c | d4 |]",
        "D D D G | ^F4 |]",
        "B, A, G, G, | A,4 |]",
        "G, ^F, G, E, | D,4 |]",
        key="G",
    )
    moved = transposed(start, -2)
    assert [str(n.pitches[0]) for n in moved.melody.notes] == ["F4", "G4", "A4", "B4", "C5"]
    moved = transposed(start, 1)
    assert [str(n.pitches[0]) for n in moved.melody.notes] == ["A♭4", "B♭4", "C5", "D5", "E♭5"]
    assert moved.keys[0].fifths == -4


@pytest.mark.parametrize(
    ("key", "semitones", "name"),
    [
        ("D", 1, "E♭ major"),
        ("C", -1, "B major"),
        ("C", 1, "D♭ major"),
        ("Em", -2, "D minor"),
        ("Am", 1, "B♭ minor"),
        ("Ddor", 2, "E dorian"),
        ("F", 6, "B major"),
    ],
)
def test_the_key_of_fewer_signs(key: str, semitones: int, name: str) -> None:
    moved = transposed(hymn("C D E F |]", key=key), semitones)
    assert key_words(moved.keys[0].fifths, moved.keys[0].mode) == name


def test_a_key_that_sounds_elsewhere_is_refused() -> None:
    with pytest.raises(ScoreError, match="not \\+2 semitones away"):
        transposed(hymn("C D E F |]"), 2, fifths=1)


def test_notes_beyond_any_keyboard_are_refused() -> None:
    with pytest.raises(ScoreError, match="out of reach"):
        transposed(hymn("C D E F |]"), -70)


def test_printed_fingerings_are_left_out_and_it_is_said() -> None:
    start = hymn("C D E F |]")
    first = replace(start.melody.notes[0], fingering=("1",))
    notes = (first, *start.melody.notes[1:])
    fingered = replace(start, voices=(replace(start.melody, notes=notes),))
    moved = transposed(fingered, 2)
    assert not any(note.fingering for note in moved.melody.notes)
    assert "fingerings" in moved.remarks[-1].text
    assert transposed(fingered, 0) == fingered
