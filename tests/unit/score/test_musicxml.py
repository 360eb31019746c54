"""MusicXML as it is written, element by element."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from lxml import etree

from suspirium.score.clefs import clef_name, clef_place
from suspirium.score.mei import read_score
from suspirium.score.model import Credit, Hymn, Note
from suspirium.score.musicxml import write_musicxml
from suspirium.score.musicxml.values import note_value, rest_lengths
from suspirium.score.pitch import Pitch
from tests.build import four_part, hymn

Q = Fraction


def written(score: Hymn) -> etree._Element:
    return etree.fromstring(write_musicxml(score))


def texts(tree: etree._Element, path: str) -> list[str | None]:
    return [element.text for element in tree.findall(path)]


def test_the_file_says_what_it_is():
    data = write_musicxml(hymn("C D E F |]"))
    assert data.startswith(b"<?xml")
    assert b"MusicXML 4.0 Partwise" in data
    assert etree.fromstring(data).get("version") == "4.0"


def test_four_voices_on_two_staves_are_one_part():
    tree = written(four_part("c d e f |]", "G G G A |]", "E D C C |]", "C, B,, C, F,, |]"))
    assert len(tree.findall("part")) == 1
    assert texts(tree, ".//attributes/staves") == ["2"]
    assert texts(tree, ".//clef/sign") == ["G", "F"]
    placed = {(note.findtext("voice"), note.findtext("staff")) for note in tree.iter("note")}
    assert placed == {("1", "1"), ("2", "1"), ("3", "2"), ("4", "2")}
    stems = {(note.findtext("voice"), note.findtext("stem")) for note in tree.iter("note")}
    assert stems == {("1", "up"), ("2", "down"), ("3", "up"), ("4", "down")}


def test_four_staves_are_a_part_each():
    score = four_part("c d e f |]", "G G G A |]", "E D C C |]", "C, B,, C, F,, |]")
    voices = tuple(replace(voice, staff=place) for place, voice in enumerate(score.voices))
    tree = written(replace(score, voices=voices))
    assert texts(tree, ".//part-name") == ["Soprano", "Alto", "Tenor", "Bass"]
    assert [len(list(part.iter("note"))) for part in tree.findall("part")] == [4, 4, 4, 4]


def test_an_accidental_is_printed_once_a_bar():
    tree = written(hymn("^F F G F | F ^F =F G |]"))
    assert texts(tree, ".//measure[@number='1']//accidental") == ["sharp"]
    assert texts(tree, ".//measure[@number='2']//accidental") == ["sharp", "natural"]


def test_beams_of_each_level():
    tree = written(hymn("c3/d/ e/f/g/a/ b2 |]", unit="1/8", metre="4/8"))
    notes = [
        {beam.get("number"): beam.text for beam in note.findall("beam")}
        for note in tree.iter("note")
    ]
    assert notes[2:6] == [
        {"1": "begin", "2": "begin"},
        {"1": "continue", "2": "continue"},
        {"1": "continue", "2": "continue"},
        {"1": "end", "2": "end"},
    ]


def test_a_triplet_has_its_ratio_and_bracket():
    tree = written(hymn("(3ccc d2 e f |]"))
    assert texts(tree, ".//actual-notes") == ["3"] * 3
    assert [sign.get("type") for sign in tree.iter("tuplet")] == ["start", "stop"]


def test_slurs_that_cross_have_numbers_of_their_own():
    score = four_part("(c d | e f) |]", "(G G | G A) |]", "E D | C C |]", "C, D, | C, F,, |]")
    starts = [slur for slur in written(score).iter("slur") if slur.get("type") == "start"]
    assert sorted(slur.get("number") for slur in starts) == ["1", "2"]


def test_a_note_over_a_barline_becomes_two_tied_notes():
    score = hymn("C D E F | G4 |]")
    long = Note(Q(3), Q(2), (Pitch("F", 0, 4),))
    after = Note(Q(5), Q(3), (Pitch("G", 0, 4),))
    melody = replace(score.melody, notes=(*score.melody.notes[:3], long, after))
    tree = written(replace(score, voices=(melody,)))
    assert [tie.get("type") for tie in tree.iter("tie")] == ["start", "stop"]
    assert texts(tree, ".//measure[@number='2']/note/duration") == ["1", "3"]


def test_a_pickup_and_a_split_bar_are_implicit():
    tree = written(hymn("G | C D E F | C D || E F | C4 |]"))
    measures = [(m.get("number"), m.get("implicit")) for m in tree.iter("measure")]
    assert measures == [("0", "yes"), ("1", None), ("2", None), ("2", "yes"), ("3", None)]


def test_repeats_and_endings():
    tree = written(hymn("|: C D E F |1 C4 :|2 D4 |]"))
    assert [sign.get("direction") for sign in tree.iter("repeat")] == ["forward", "backward"]
    assert [(e.get("number"), e.get("type")) for e in tree.iter("ending")] == [
        ("1", "start"),
        ("1", "stop"),
        ("2", "start"),
        ("2", "discontinue"),
    ]


def test_words_with_hyphens_melismas_and_elisions():
    tree = written(hymn("C (D E) F |]", words=("Morn- ing _ the~end",)))
    lyrics = [
        (texts(lyric, "syllabic"), texts(lyric, "text"), len(lyric.findall("elision")))
        for lyric in tree.iter("lyric")
        if lyric.find("text") is not None
    ]
    assert lyrics == [
        (["begin"], ["Morn"], 0),
        (["end"], ["ing"], 0),
        (["single", "single"], ["the", "end"], 1),
    ]
    assert [extend.get("type") for extend in tree.iter("extend")] == ["start", "stop"]


def test_credits_titles_and_plain_stanzas():
    score = replace(
        hymn("C4 |]"),
        title="Morning Field",
        tune="FIELD",
        metre="8.6.8.6",
        credits=(Credit("words", "Ann Example"), Credit("source", "First"), Credit("source", "B")),
        plain_stanzas=(("One line", "and two"),),
        quarter_bpm=92.5,
    )
    tree = written(score)
    assert texts(tree, "work/work-title") == ["Morning Field"]
    assert texts(tree, "identification/creator[@type='lyricist']") == ["Ann Example"]
    assert texts(tree, "identification/source") == ["First\nB"]
    fields = {f.get("name"): f.text for f in tree.iter("miscellaneous-field")}
    assert (fields["tune"], fields["metre"]) == ("FIELD", "8.6.8.6")
    assert texts(tree, "credit[credit-type='lyrics']/credit-words") == ["One line\nand two"]
    assert [sound.get("tempo") for sound in tree.iter("sound")] == ["92.5"]
    assert read_score(write_musicxml(score), "hymn.musicxml") == score


def test_what_has_no_element_is_left_out():
    score = hymn("C4 |]")
    note = replace(score.melody.notes[0], decorations=("accent", "thunder"))
    tree = written(replace(score, voices=(replace(score.melody, notes=(note,)),)))
    assert [element.tag for element in tree.find(".//articulations")] == ["accent"]


@pytest.mark.parametrize(
    ("length_q", "value"),
    [
        (Q(4), ("whole", 0)),
        (Q(3), ("half", 1)),
        (Q(7, 2), ("half", 2)),
        (Q(1, 4), ("16th", 0)),
        (Q(5, 4), None),
    ],
)
def test_note_values(length_q, value):
    assert note_value(length_q) == value


def test_a_rest_without_a_value_is_several():
    assert list(rest_lengths(Q(5, 2))) == [Q(2), Q(1, 2)]


@pytest.mark.parametrize("name", ["treble", "bass", "alto", "tenor", "treble-8", "bass+15", "G1"])
def test_clefs_keep_their_names(name):
    assert clef_name(*clef_place(name)) == name


def test_an_unknown_clef_is_written_as_treble():
    assert clef_place("wiggle") == ("G", 2, 0)
