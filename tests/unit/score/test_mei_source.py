"""Files that are no score, or not whole, give one plain sentence and nothing else."""

from __future__ import annotations

import io
import zipfile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suspirium.errors import ScoreError
from suspirium.score.mei import read_score
from tests.unit.score.engraved import measure, note, notes, opening, score

WHOLE = score(measure(opening() + notes("C5 D5 E5 F5")))
MEI = b'<mei xmlns="http://www.music-encoding.org/ns/mei"><music/></mei>'
KERN = b"**kern\t**kern\n*M4/4\t*M4/4\n4c\t4e\n4d\n*-\t*-\n"


def packed(**members: bytes) -> bytes:
    """A zip archive; an underscore in a name stands for a dot, two for a slash."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, data in members.items():
            archive.writestr(name.replace("__", "/").replace("_", "."), data)
    return buffer.getvalue()


CONTAINER = b'<container><rootfiles><rootfile full-path="score.musicxml"/></rootfiles></container>'


def test_a_compressed_score_is_read():
    data = packed(**{"META-INF__container_xml": CONTAINER, "score_musicxml": WHOLE})
    assert len(read_score(data, "hymn.mxl").melody.notes) == 4


def test_a_compressed_score_without_a_list_of_contents_is_read():
    assert len(read_score(packed(score_xml=WHOLE), "hymn.mxl").melody.notes) == 4


def test_a_score_in_utf_16_is_read():
    text = '<?xml version="1.0" encoding="UTF-16"?>' + WHOLE.decode()
    assert len(read_score(text.encode("utf-16"), "hymn.musicxml").melody.notes) == 4


@pytest.mark.parametrize(
    ("data", "name", "said"),
    [
        (b"", "hymn.musicxml", "is empty"),
        (b" \n", "hymn.mei", "is empty"),
        (b"\x00\x01\x02", "hymn.musicxml", "not a score that can be read"),
        (b"Dear choir,", "hymn.krn", "not a score that can be read"),
        (b"plain", "hymn.mxl", "not a compressed MusicXML file"),
        (WHOLE[:-200], "hymn.musicxml", "damaged or breaks off"),
        (packed(), "hymn.mxl", "holds no score"),
        (packed(readme_txt=b"hello"), "hymn.mxl", "holds no score"),
        (packed(score_xml=WHOLE)[:-40], "hymn.mxl", "damaged or breaks off"),
        (packed(score_xml=WHOLE[:90]), "hymn.mxl", "damaged or breaks off"),
        (b"<html><body/></html>", "hymn.xml", "holds <html>"),
        (b"<score-partwise/>", "hymn.musicxml", "holds no notes"),
        (score(measure(opening() + notes("r r r r"))), "hymn.musicxml", "holds no notes"),
        (MEI, "hymn.mei", "can't be read"),
        (KERN, "hymn.krn", "can't be read"),
    ],
)
def test_what_is_no_score_is_said_in_one_sentence(data, name, said, capfd):
    with pytest.raises(ScoreError) as caught:
        read_score(data, name)
    assert said in caught.value.text
    assert name in caught.value.text
    assert "\n" not in caught.value.text
    assert capfd.readouterr() == ("", "")


def test_parts_whose_barlines_stand_apart_are_told():
    apart = measure(opening() + notes("C5 D5 E5 F5")).replace("<measure", "<measure {}")
    with pytest.raises(ScoreError, match="barlines do not stand together"):
        read_score(score(apart.format(""), apart.format('non-controlling="yes"')), "hymn.musicxml")


def test_damaged_xml_says_its_line():
    with pytest.raises(ScoreError) as caught:
        read_score(b"<score-partwise>\n<part>\n</score-partwise>", "hymn.musicxml")
    assert caught.value.place.line == 3


def test_damaged_kern_says_its_line():
    with pytest.raises(ScoreError) as caught:
        read_score(KERN, "hymn.krn")
    assert caught.value.place.line == 4


def test_a_sign_that_gets_lost_is_told():
    open_slur = '<slur type="start" number="1"/>'
    hymn = read_score(
        score(measure(opening() + note("C5", 4, notations=open_slur))), "hymn.musicxml"
    )
    assert ["no end" in remark.text for remark in hymn.remarks] == [True]
    assert hymn.remarks[0].place.measure == 1


def test_after_a_file_that_breaks_the_converter_the_next_is_read():
    for data, name in ((KERN, "bad.krn"), (MEI, "bad.mei")):
        with pytest.raises(ScoreError):
            read_score(data, name)
        assert len(read_score(WHOLE, "hymn.musicxml").melody.notes) == 4


def test_entities_are_not_expanded():
    bomb = b'<!DOCTYPE score-partwise [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>' + WHOLE.replace(
        b"<part-name>", b"<part-name>&b;"
    )
    assert len(read_score(bomb, "hymn.musicxml").melody.notes) == 4


@given(st.integers(0, len(WHOLE) - 1), st.sampled_from(["hymn.musicxml", "hymn.mxl"]))
@settings(max_examples=40, deadline=None)
def test_any_mere_beginning_of_a_file_is_an_error(length, name):
    with pytest.raises(ScoreError, match=name):
        read_score(WHOLE[:length], name)
