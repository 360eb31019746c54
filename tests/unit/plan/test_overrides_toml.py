"""What is written is read back the same."""

from __future__ import annotations

import tomllib
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from suspirium.plan.overrides import (
    NONE,
    FingerOverride,
    FootOverride,
    Overrides,
    PhraseOverride,
    TouchOverride,
    read_overrides,
)
from suspirium.plan.overrides_toml import write_overrides

_LENGTHS = st.fractions(Fraction(1, 8), 8, max_denominator=12)
_VOICES = st.sampled_from(["soprano", "alto", "tenor", "bass", 'a "second" voice'])
_BREATHS = st.sampled_from(["full", "part", "carry"])
_PHRASES = st.builds(
    PhraseOverride,
    st.none() | _LENGTHS,
    st.none() | _LENGTHS,
    st.dictionaries(st.integers(0, 5), _BREATHS, max_size=3),
).filter(lambda own: own != PhraseOverride())
_OVERRIDES = st.builds(
    Overrides,
    pulse_q=st.none() | _LENGTHS,
    quarter_bpm=st.none() | st.floats(10, 400),
    pulse_bpm=st.none() | st.floats(5, 400),
    phrase_ends_q=st.none() | st.lists(_LENGTHS, max_size=3).map(tuple),
    same_breath_every_stanza=st.booleans(),
    fermatas_hold=st.booleans(),
    gap_hold_q=st.none() | _LENGTHS,
    gap_silence_q=st.none() | _LENGTHS,
    ending_hold_q=st.none() | _LENGTHS,
    broaden=st.none() | st.floats(0, 1),
    phrases=st.dictionaries(st.integers(1, 8), _PHRASES, max_size=3),
    touches=st.lists(st.builds(TouchOverride, _LENGTHS, _VOICES, _LENGTHS), max_size=2).map(tuple),
    fingers=st.lists(
        st.builds(
            FingerOverride,
            _LENGTHS,
            _VOICES,
            st.lists(st.integers(1, 5), min_size=1, max_size=2).map(tuple),
            st.sampled_from([None, "left", "right"]),
        ),
        max_size=2,
    ).map(tuple),
    feet=st.lists(
        st.builds(
            FootOverride,
            _LENGTHS,
            _VOICES,
            st.sampled_from(["left", "right"]),
            st.sampled_from(["toe", "heel"]),
        ),
        max_size=2,
    ).map(tuple),
)


@given(_OVERRIDES)
def test_what_is_written_is_read_back_the_same(overrides: Overrides) -> None:
    assert read_overrides(write_overrides(overrides)) == overrides


def test_nothing_set_is_an_empty_file() -> None:
    assert write_overrides(NONE) == ""


def test_thirds_stay_exact_and_the_file_is_toml() -> None:
    """TOML 1.0 (the standard's own reader in Python): a third is kept as text."""
    text = write_overrides(Overrides(gap_hold_q=Fraction(1, 3), quarter_bpm=96.0))
    assert tomllib.loads(text) == {"quarter_bpm": 96.0, "gap": {"hold_q": "1/3"}}
