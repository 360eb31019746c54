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
from suspirium.technique.fingers.published import rule_points
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


# A line judged by every rule of 1997 --------------------------------------------------

C2 = 72


@pytest.mark.parametrize(
    ("keys", "fingers", "expected"),
    [
        # rule 1: 2-3 on a fourth, 5 semitones, two beyond MaxComf 3; rule 3: three above MaxRel 2
        ((C, F), (2, 3), {1: 4, 3: 6}),
        # rule 2: 1-3 on a second, one below MinRel 3; 2-4 on a second, one below MinRel 3
        ((C, D), (1, 3), {2: 1}),
        ((C, D), (2, 4), {2: 2, 6: 1}),
        # rule 3: 1-2 on a fifth, two above MaxRel 5
        ((C, G), (1, 2), {3: 2}),
        # rule 4, half, and 5: one finger comes again a tone away; the middle note is no thumb
        ((C, E, D), (2, 3, 2), {3: 4, 1: 2, 4: 1, 5: 2}),
        # rule 4, full: the thumb between E under 3 and G under 2: -3 is outside Prac 1 to 5;
        # rule 5: four below MinComf 1; the pass is 3-1 on a semitone: four below MinRel 3
        ((E, F, G), (3, 1, 2), {2: 4, 4: 2, 5: 4, 12: 1}),
        # not full where the thumb's key does not lie between: two passes, and back
        ((E, F, E), (3, 1, 2), {2: 6, 4: 1, 5: 1, 12: 2}),
        # rule 6: each use of 4 and of 5
        ((G, F), (5, 4), {6: 2}),
        # rule 7: 3, 4 and 5 in a row in any order; 4 and 5 are weak
        ((G, F, E), (5, 4, 3), {6: 2, 7: 1}),
        ((E, G, F), (3, 5, 4), {6: 2, 7: 1}),
        # rule 8: 3 then 4, not 4 then 3
        ((E, F), (3, 4), {6: 1, 8: 1}),
        ((F, E), (4, 3), {6: 1}),
        # rule 9: 3 on white beside 4 on black
        ((FIS, F), (4, 3), {6: 1, 9: 1}),
        # rule 10: the thumb on black 1, white before 2, white after 2 (spans within Rel)
        ((FIS,), (1,), {10: 1}),
        ((CIS, D), (1, 2), {10: 3}),
        ((D, CIS, D), (2, 1, 2), {10: 5}),
        # rule 11: the little finger on black nothing, white before and after 2 each
        ((GIS, FIS), (5, 4), {6: 2}),
        ((G, GIS, G), (4, 5, 4), {6: 3, 11: 4}),
        # rule 12: on one level 1; the thumb on black under a finger on white 3
        ((E, F), (3, 1), {2: 4, 12: 1}),
        ((F, FIS), (3, 1), {2: 4, 10: 3, 12: 3}),
        # the scale of C as it is taught, reckoned through: passes, weak fingers and all
        (
            (C, D, E, F, G, A, B, C2),
            (1, 2, 3, 1, 2, 3, 4, 5),
            {2: 4, 4: 2, 5: 4, 6: 2, 7: 1, 8: 1, 12: 1},
        ),
    ],
)
def test_every_rule_on_lines_made_by_hand(keys, fingers, expected) -> None:
    assert rule_points(keys, fingers) == expected
    mirrored = tuple(2 * D - key for key in keys)  # about D, where the keyboard is its own mirror
    assert rule_points(mirrored, fingers, "left") == expected


def test_every_rule_has_its_example() -> None:
    """The parameters above name all twelve."""
    (mark,) = (m for m in test_every_rule_on_lines_made_by_hand.pytestmark if m.args)
    assert {rule for *_, expected in mark.args[1] for rule in expected} == set(range(1, 13))


def test_jacobs_takes_rule_7_away_and_makes_large_spans_even() -> None:
    assert rule_points((G, F, E), (5, 4, 3), rules="2001") == {6: 1}
    assert rule_points((C, F), (2, 3), rules="2001") == {1: 4, 3: 3}


def test_the_judge_knows_nothing_of_one_finger_on_two_keys() -> None:
    with pytest.raises(ValueError, match="finger 2"):
        rule_points((C, D), (2, 2))
    assert rule_points((C, C), (2, 2)) == {}


def test_the_rules_of_two_notes_agree_with_those_of_the_search() -> None:
    """Where distances are the same in mm and in semitones, and nothing is weak by itself."""
    for before, after in (
        ((C, 1), (D, 2)),
        ((C, 1), (D, 3)),
        ((E, 3), (C, 1)),
        ((FIS, 1), (GIS, 2)),
    ):
        points = rule_points((before[0], after[0]), (before[1], after[1]))
        alone = points.get(6, 0) + (1 if before == (FIS, 1) else 0)
        assert legato(before, after) == sum(points.values()) - alone
