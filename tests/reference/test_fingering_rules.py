"""The published rules for fingers on hand-made examples, the expected points from the papers.

Parncutt, Sloboda, Clarke, Raekallio and Desain 1997, Music Perception 14(4), 341-382: Table 1
of spans and the twelve rules, known from memory and from public transcriptions; Jacobs 2001,
Music Perception 18(4), 505-511: distances in mm in place of semitones, the weak finger is the
fourth alone; Balliauw, Herremans, Palhazi Cuervo and Soerensen 2017, ITOR 24(3), 509-535: the
points of spans doubled within a chord. What follows is reckoned by hand from those rules.
"""

from __future__ import annotations

import pytest

from suspirium.tables import load
from suspirium.technique.fingers.spans import chord, join, span_points
from suspirium.technique.hand import published_reach
from suspirium.technique.keyboard import distance

REACHES = published_reach()
C, D, E, F, G, A, B = 60, 62, 64, 65, 67, 69, 71
CIS, FIS, GIS = 61, 66, 68
TABLE = load("fingering")


def legato(before: tuple[int, int], after: tuple[int, int], side: str = "right") -> float | None:
    """Points of two notes of one line, (key, finger) each."""
    joined = join(REACHES, side, before, after, one_line=True)  # type: ignore[arg-type]
    return None if joined is None else joined.points


# Spans of Table 1: (pair, span in semitones, rule 1, rule 2, rule 3).
@pytest.mark.parametrize(
    ("pair", "semitones", "stretch", "small", "large"),
    [
        ((1, 2), 4, 0, 0, 0),  # within MinRel 1 and MaxRel 5
        ((1, 2), 7, 0, 0, 2),  # two above MaxRel 5, with the thumb 1 a semitone
        ((1, 2), 10, 4, 0, 5),  # two beyond MaxComf 8 at 2 each; five above MaxRel
        ((1, 3), 1, 0, 2, 0),  # two below MinRel 3, with the thumb 1 each
        ((1, 5), 4, 0, 3, 0),  # three below MinRel 7
        ((1, 5), 14, 2, 0, 4),  # one beyond MaxComf 13; four above MaxRel 10
        ((2, 3), 4, 2, 0, 4),  # one beyond MaxComf 3; two above MaxRel 2, no thumb: 2 each
        ((2, 4), 2, 0, 2, 0),  # one below MinRel 3, no thumb: 2 each
        ((2, 5), 9, 2, 0, 6),  # one beyond MaxComf 8; three above MaxRel 6
        ((3, 4), 3, 2, 0, 2),  # one beyond MaxComf 2; one above MaxRel 2
        ((3, 5), 1, 0, 4, 0),  # two below MinRel 3
        ((4, 5), 2, 0, 0, 0),
    ],
)
def test_rules_1_to_3_stretch_small_and_large_spans(pair, semitones, stretch, small, large):
    points = span_points(REACHES[pair], semitones, thumb=pair[0] == 1)
    assert points == pytest.approx(stretch + small + large)


def test_the_left_hand_is_the_mirror_image() -> None:
    for a, b in ((1, 3), (2, 5), (1, 5)):
        right = legato((C, a), (G, b))
        left = legato((G, a), (C, b), "left")
        assert right == left


def test_rule_8_three_to_four() -> None:
    assert legato((C, 3), (D, 4)) == 1
    assert legato((D, 4), (C, 3)) == 0
    assert legato((C, 2), (D, 3)) == 0


def test_rule_9_four_on_a_black_key_beside_three_on_a_white_one() -> None:
    assert legato((FIS, 4), (F, 3)) == 1
    assert legato((F, 3), (FIS, 4)) == 2  # rule 8 as well
    assert legato((FIS, 3), (G, 4)) == 1  # rule 8 alone


def test_rules_10_and_11_thumb_and_little_finger_beside_white_keys() -> None:
    for finger, other in ((1, 2), (5, 4)):
        black, white = (FIS, finger), (G if finger == 1 else F, other)
        assert legato(black, white) == 2  # the next one is white
        assert legato(white, black) == 2  # the one before is white
    assert legato((FIS, 1), (GIS, 2)) == 0


def test_rule_12_the_thumb_passes() -> None:
    assert legato((E, 3), (F, 1)) == 1  # under the third finger, on one level
    assert legato((FIS, 3), (G, 1)) == 1  # the thumb on a white key, the finger on a black one
    on_black = legato((F, 3), (FIS, 1))
    assert on_black == 3 + 2  # the thumb on the black key; rule 10, the one before is white


def test_rules_6_and_10_of_single_notes() -> None:
    """Jacobs 2001 counts finger 4 alone as weak; the thumb on a black key is 1 (rule 10)."""
    assert dict(TABLE["weak.points"]) == {"1": 0, "2": 0, "3": 0, "4": 1, "5": 0}
    assert TABLE.number("points.thumb_on_black") == 1


def test_beyond_what_is_practicable_nothing_is_joined() -> None:
    assert legato((C, 2), (C + 6, 3)) is None  # MaxPrac of 2-3 is 5
    assert chord(REACHES, "right", (C, 1), (C + 17, 5)) is None  # MaxPrac of 1-5 is 15
    assert chord(REACHES, "right", (C, 1), (C + 15, 5)) is not None
    assert chord(REACHES, "right", (C, 3), (E, 2)) is None  # fingers in the wrong order


@pytest.mark.parametrize(
    ("low", "high", "single"),
    [((C, 1), (G, 5), 0), ((C, 1), (C + 12, 5), 2), ((C, 2), (G, 5), 2), ((C, 2), (E, 3), 2)],
)
def test_spans_count_double_within_a_chord(low, high, single) -> None:
    """2-5 on a fifth: 7 is one above MaxRel 6, 2 points; 2-3 on C and E, 47 mm or 3
    widths: one above MaxRel 2; 1-5 on an octave: two above MaxRel 10."""
    assert chord(REACHES, "right", low, high) == 2 * single


def test_distances_in_mm_put_keys_where_they_lie() -> None:
    """Jacobs 2001: an octave of about 165 mm is twelve widths of 13.75 mm; two neighbouring
    naturals are 23.5 mm apart, 1.7 widths: E to F counts as C to D does, though a semitone."""
    assert distance(C, C + 12) == 12
    assert distance(C, D) == distance(E, F) == distance(B, C + 12) == 2
    assert distance(F, B) == 5  # three naturals, 70.5 mm; six semitones
    assert distance(D, C) == -2
