"""Broken ABC text: never anything but a hymn or a `ScoreError`."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suspirium.errors import ScoreError
from suspirium.score.model import Hymn
from suspirium.score.order import passages
from suspirium.score.reading import read
from suspirium.score.words import sung

WHOLE = """\
X:1
T:Morning Field
C:Words: Ann Example. Music: 'High Field' Ben Sample.
M:4/4
L:1/4
Q:1/4=96
%%staves (S A) | (T B)
V:S clef=treble
V:A
V:T clef=bass
V:B
K:Eb
[V:S] "^All" B | e>d (c B) | !fermata!A2- A (3:2:3F/G/A/ | [M:3/4] G3 |: {a}g f e :|1 e3 :|2 [Ge]3 |]
w: 1.~The field lies * wide * and * sing- * * ing now *
w: 2.~Sing *
w: |
[V:A] E | G2 E D | C2 C C | [M:3/4] B,3 |: E D B, :|1 B,3 :|2 B,3 |]
[V:T] G, | B,2 A, B, | A,2 A, A, | [M:3/4] G,3 |: B, A, G, :|1 G,3 :|2 =A,3 |]
[V:B] E, | E,2 A, G, | F,2 F, F, | [M:3/4] [E,,E,]3 |: E, B,, E, :|1 E,3 :|2 E,,3 |]
W:3. Far away
W:
W:4. And near
"""  # noqa: E501 (music lines are as long as their system)
SIGNS = st.text(alphabet="ABCDEFGabcdefgzxZXyHTuvKMLVQwWU|:[](){}<>/0123456789,'^_=-~!\"+.*&%\\ \n")


def survives(data: bytes, name: str = "field.abc") -> Hymn | None:
    """What reading gives, used once; any error but `ScoreError` goes on to the test."""
    try:
        hymn = read(data, name)
    except ScoreError:
        return None
    for stanza in hymn.stanzas:
        sung(hymn, stanza.number)
        assert passages(hymn, stanza.number)
    assert passages(hymn)
    return hymn


def test_the_whole_text_is_read():
    hymn = survives(WHOLE.encode())
    assert hymn is not None
    assert len(hymn.voices) == 4


@pytest.mark.parametrize("end", range(0, len(WHOLE), 3))
def test_cut_off_anywhere(end: int):
    survives(WHOLE[:end].encode())


def test_a_cut_inside_a_system_is_an_error():
    cut = WHOLE.index("[V:T] G,")
    with pytest.raises(ScoreError, match=r"before the others|other voices"):
        read((WHOLE[:cut] + "[V:T] G, | B,2 A, B, | A,2").encode(), "field.abc")


@settings(max_examples=300, deadline=None)
@given(place=st.integers(0, len(WHOLE)), length=st.integers(0, 30), instead=SIGNS)
def test_any_stretch_replaced(place: int, length: int, instead: str):
    survives((WHOLE[:place] + instead + WHOLE[place + length :]).encode())


@settings(max_examples=300, deadline=None)
@given(music=SIGNS)
def test_any_signs_for_music(music: str):
    survives(f"X:1\nM:4/4\nL:1/4\nK:C\n{music}\n".encode())


@settings(max_examples=150, deadline=None)
@given(header=st.lists(st.tuples(st.sampled_from("XTCMLQVKUIWw"), st.text()), max_size=6))
def test_any_header(header: list[tuple[str, str]]):
    lines = "\n".join(f"{key}:{text}" for key, text in header)
    survives(f"{lines}\nK:C\nc d e f |]\n".encode("utf-8", "replace"))


@settings(max_examples=150, deadline=None)
@given(data=st.binary(max_size=400))
def test_any_bytes(data: bytes):
    survives(data)
    survives(b"X:1\nK:C\n" + data)


@settings(max_examples=100, deadline=None)
@given(words=SIGNS)
def test_any_words(words: str):
    survives(f"X:1\nM:4/4\nL:1/4\nK:C\nc (d e) f | g4 |]\nw: {words}\nw: 1.~a b c\n".encode())
