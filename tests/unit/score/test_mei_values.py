"""Values that no score can have are told with their place; none hangs the program."""

from __future__ import annotations

import io
import time
import zipfile

import pytest

from suspirium.errors import Place, ScoreError
from suspirium.score.mei import read_score
from tests.unit.score.engraved import measure, notes, opening, score

WHOLE = score(
    measure(opening() + notes("C5 D5 E5 F5")) + "\n" + measure(notes("C#5 D5 E5 F5"), "2")
).decode()
BACKWARD = '<barline location="right"><repeat direction="backward" times="{}"/></barline></measure>'


def changed(before: str, after: str) -> bytes:
    assert before in WHOLE
    return WHOLE.replace(before, after, 1).encode()


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("<step>C</step>", "<step>H</step>", '"H" is no step of a note'),
        ("<octave>5<", "<octave>55<", '"55" is no octave'),
        ("<octave>5<", "<octave><", '"" is no octave'),
        ("<alter>0<", "<alter>0.5<", '"0.5" is no alteration'),
        ("<alter>0<", "<alter>3<", '"3" is no alteration'),
        ("<duration>12<", "<duration>-12<", '"-12" is no length of a note'),
        ("<duration>12<", "<duration>NaN<", '"NaN" is no length'),
        ("<duration>12<", "<duration>999999999999<", '"999999999999" is no length'),
        ("<divisions>12<", "<divisions>0<", '"0" is no length of a quarter'),
        ("<fifths>0<", "<fifths>40<", '"40" is no key signature'),
        ("<beats>4<", "<beats>0<", '"0" is no number of beats'),
        ("<beats>4<", f"<beats>{'4+' * 60}<", '"4\\+4\\+.*…" is no number of beats'),
        ("<beat-type>4<", "<beat-type>3<", '"3" is no note value of a beat'),
    ],
)
def test_a_value_that_cannot_be_read(before, after, said):
    with pytest.raises(ScoreError, match=said) as caught:
        read_score(changed(before, after), "hymn.musicxml")
    assert caught.value.place == Place(measure=1, line=1)


def test_a_value_in_a_later_measure_has_its_place():
    with pytest.raises(ScoreError) as caught:
        read_score(changed("<alter>1<", "<alter>x<"), "hymn.musicxml")
    assert caught.value.place == Place(measure=2, line=2)


@pytest.mark.parametrize(("times", "told"), [("2", False), ("4", True), ("99999999", True)])
def test_times_of_a_repeat_sign(times, told):
    before = time.perf_counter()
    hymn = read_score(changed("</measure>", BACKWARD.format(times)), "hymn.musicxml")
    assert time.perf_counter() - before < 5
    assert hymn.measures[0].repeat_end
    assert any(f'"times {times}"' in remark.text for remark in hymn.remarks) == told


def test_a_staff_that_lacks_a_measure_is_told():
    short = measure(opening(clefs="F") + notes("C3 C3 C3 C3"))
    long = measure(opening() + notes("C5 D5 E5 F5")) + measure(notes("C5 D5 E5 F5"), "2")
    hymn = read_score(score(long, short), "hymn.musicxml")
    assert [str(remark) for remark in hymn.remarks] == [
        "measure 2, voice bass: the staff has nothing in this measure; rests fill up."
    ]


def test_a_note_without_a_readable_pitch_is_told():
    kern = "**kern\n*M4/4\n=1\n4c\n4d\n4e\n4f\n=2\n4c\n4ddddddddddddd\n4e\n4f\n==\n*-\n"
    hymn = read_score(kern.encode(), "hymn.krn")
    assert len(hymn.melody.notes) == 8
    assert [str(remark) for remark in hymn.remarks] == [
        "measure 2: a note has no pitch that can be read; rests fill up."
    ]


def test_a_hundred_dots_count_as_no_length():
    mei = (
        '<mei xmlns="http://www.music-encoding.org/ns/mei"><music><body><mdiv><score><scoreDef>'
        '<staffGrp><staffDef n="1" lines="5"/></staffGrp></scoreDef><section><measure n="1">'
        '<staff n="1"><layer n="1"><note dur="4" dots="100" pname="c" oct="5"/></layer></staff>'
        "</measure></section></score></mdiv></body></music></mei>"
    )
    hymn = read_score(mei.encode(), "hymn.mei")
    assert [note.duration_q for note in hymn.melody.notes] == [1]
    assert any("no written length" in remark.text for remark in hymn.remarks)


def test_an_archive_whose_list_of_contents_swells_is_read_without_it():
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", b"<container>" + b" " * 2**24)
        archive.writestr("score.xml", WHOLE)
    assert len(read_score(buffer.getvalue(), "hymn.mxl").melody.notes) == 8


def test_an_archive_that_swells_is_an_error():
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("score.xml", b" " * (65 * 2**20))
    with pytest.raises(ScoreError, match="too large"):
        read_score(buffer.getvalue(), "hymn.mxl")


def test_a_file_named_in_an_entity_is_not_opened(tmp_path):
    secret = tmp_path / "secret"
    secret.write_text("hush")
    opened = f'<!DOCTYPE score-partwise [<!ENTITY e SYSTEM "{secret.as_uri()}">]>' + WHOLE.replace(
        "<part-list>", "<movement-title>&e;</movement-title><part-list>"
    )
    assert "hush" not in read_score(opened.encode(), "hymn.musicxml").title
