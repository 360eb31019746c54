"""Line ends by their marks and by their sense, in several languages."""

from __future__ import annotations

import pytest

from suspirium.verse.sense import mark_of, sense_of, stops_inside


@pytest.mark.parametrize(
    ("text", "mark"),
    [
        ("me.", "strong"),
        ('King!"', "strong"),
        ("skies;", "strong"),
        ("proclaim,", "comma"),
        ("still", "none"),
        ("Herr!“", "strong"),
        ("gloria,»", "comma"),
        ("heav'n", "none"),
    ],
)
def test_marks(text: str, mark: str) -> None:
    assert mark_of(text) == mark


@pytest.mark.parametrize(
    ("line", "following", "language", "grade"),
    [
        ("day,", "when", "en", "clause"),
        ("day,", "I", "en", "clause"),
        ("bread,", "wine", "en", "comma"),
        ("We light the lamps,", "the river sings", "en", "comma"),
        ("Ox, donkey,", "come in from the cold hill,", "en", "comma"),
        ("Bread, oil,", "salt, wine,", "en", "weak"),
        ("Bread, oil,", "and salt", "en", "weak"),
        ("Bread, oil,", "and we shall eat", "en", "clause"),
        ("Hear us, O Lord,", "from the river", "en", "weak"),
        ("O Lord of river and of hill,", "hear", "en", "comma"),
        ("Come from the hill,", "dear friends, and sing", "en", "comma"),
        ("We call thee, Shepherd, King,", "to mend the fold", "en", "comma"),
        ("Höre uns, o Herr,", "am Abend", "de", "weak"),
        ("house", "of", "en", "bound"),
        ("the", "river", "en", "bound"),
        ("hill", "green", "en", "none"),
        ("done.", "And", "en", "strong"),
        ("Nacht,", "denn", "de", "clause"),
        ("Haus", "von", "de", "bound"),
        ("jour,", "mais", "fr", "clause"),
        ("mundi,", "sed", "la", "clause"),
        ("noche,", "pero", "es", "clause"),
        ("nos,", "ond", "cy", "clause"),
        ("end.", "", "en", "strong"),
    ],
)
def test_grades(line: str, following: str, language: str, grade: str) -> None:
    found = sense_of(line, following, language)
    assert found.grade == grade
    assert found.said


def test_sentences_that_end_within_a_line_are_noticed() -> None:
    assert stops_inside("The lamp is out. Who comes") == ("out",)
    assert stops_inside("The lamp is out.") == ()
    assert stops_inside("Who comes? The night, the rain") == ("comes",)
