"""Telling the format of a score from its content and name."""

from __future__ import annotations

import io

import mido
import pytest

from suspirium.errors import ScoreError
from suspirium.score.reading import read

ABC = "X:1\nT:Prüfung\nM:4/4\nL:1/4\nK:C\nc d e f |]\nw: blesséd be this day\n"


def midi_bytes() -> bytes:
    track = mido.MidiTrack()
    track.append(mido.Message("note_on", note=72, velocity=64, time=0))
    track.append(mido.Message("note_off", note=72, velocity=64, time=480))
    file = io.BytesIO()
    mido.MidiFile(type=0, tracks=[track]).save(file=file)
    return file.getvalue()


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16", "utf-16-le", "utf-16-be", "utf-32"]
)
def test_encodings_of_abc(encoding: str):
    hymn = read(ABC.encode(encoding), "field.abc")
    assert hymn.title == "Prüfung"
    assert hymn.stanzas[0].syllables[0].text == "blesséd"


def test_quotation_marks_of_a_western_windows_file():
    text = ABC.replace("Prüfung", "The “Field” ’tis")
    assert read(text.encode("cp1252"), "field.abc").title == "The “Field” ’tis"


@pytest.mark.parametrize("ends", ["\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_kern_from_other_systems(ends: str, encoding: str):
    text = "**kern\n*M4/4\n4c\n4d\n4e\n4f\n*-\n".replace("\n", ends)
    assert len(read(text.encode(encoding), "field.krn").melody.notes) == 4


@pytest.mark.parametrize("name", ["a.abc", "a.ABC", "/somewhere/a.abc", "C:\\scores\\a.abc", "a"])
def test_abc_by_name_or_content(name: str):
    assert read(ABC.encode(), name).title == "Prüfung"


def test_content_counts_more_than_the_name():
    assert len(read(midi_bytes(), "field.abc").melody.notes) > 0
    assert read(ABC.encode(), "field.mid").title == "Prüfung"


@pytest.mark.parametrize("name", ["a.mid", "a.midi", "a.MID"])
def test_midi_by_name(name: str):
    assert read(midi_bytes(), name).melody.notes[0].pitches[0].midi == 72


def test_readings_are_checked():
    assert any("Alto, tenor" in remark.text for remark in read(ABC.encode(), "a.abc").remarks)


@pytest.mark.parametrize(
    ("data", "name", "message"),
    [(b"", "a.abc", "a.abc is empty"), (b"  \n", "dir/a.mid", "^a.mid is empty"),
     (b"hello", "a.txt", "no format that can be read"), (b"\x00\x01", "a", "no format"),
     (b"hello", "a.mid", "damaged"), (b"hello", "a.abc", "no K: line")],
)  # fmt: skip
def test_what_is_no_score(data: bytes, name: str, message: str):
    with pytest.raises(ScoreError, match=message):
        read(data, name)
