"""Recordings' files whose end is missing, as an encoder wrote them and then cut."""

from __future__ import annotations

import io

import numpy as np
import pytest
import soundfile

from suspirium.take.cut_short import TAIL_BYTES, cut_short

FORMATS = ("WAV", "OGG", "MP3")


def written(form: str) -> bytes:
    sound = np.random.default_rng(1).normal(0, 0.1, 6 * 44100)
    file = io.BytesIO()
    soundfile.write(file, sound, 44100, format=form)
    return file.getvalue()


def is_cut(data: bytes) -> bool:
    return cut_short(data[:TAIL_BYTES], data[-TAIL_BYTES:], len(data))


def without_its_first_frame(mp3: bytes) -> bytes:
    """The frames alone: the first one, which counts them all, left out."""
    return mp3[mp3.index(b"\xff\xfb", 4) :]


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("share", [0.3, 0.8, 0.999])
def test_a_whole_file_is_whole_and_a_cut_one_is_cut(form: str, share: float) -> None:
    data = written(form)
    assert not is_cut(data)
    assert is_cut(data[: int(share * len(data))])


def test_frames_alone_tell_by_the_last_of_them() -> None:
    frames = without_its_first_frame(written("MP3"))
    tag = b"TAG" + bytes(125)
    assert not is_cut(frames)
    assert not is_cut(frames + tag)
    assert is_cut(frames[:-20])
    assert is_cut(frames[: len(frames) // 2 - 7])


def test_a_tag_before_the_frames_belongs_to_none_of_them() -> None:
    tag = b"ID3\x04\x00\x00" + bytes([0, 0, 2, 0]) + bytes(256)
    data = tag + written("MP3")
    assert not is_cut(data)
    assert is_cut(data[:-300])


def test_a_length_that_was_never_filled_in_tells_nothing() -> None:
    data = written("WAV")
    assert not is_cut(data[:4] + b"\xff\xff\xff\xff" + data[8 : len(data) // 2])


@pytest.mark.parametrize("data", [b"", b"OggS", b"RIFF", b"ID3", b"\xff\xfb", bytes(5000)])
def test_a_few_bytes_of_anything_do_no_harm(data: bytes) -> None:
    assert isinstance(is_cut(data), bool)
