from __future__ import annotations

from pathlib import Path

import pytest

from suspirium.errors import OutputError, ScoreError
from suspirium.store import read_bytes, write_folder, write_whole


def test_a_second_run_replaces_and_never_mixes(tmp_path: Path) -> None:
    folder = tmp_path / "hymn"
    write_folder(folder, {"plan.json": b"1", "marked-1.svg": b"a", "marked-2.svg": b"b"})
    write_folder(folder, {"plan.json": b"2", "marked.svg": b"c"})
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == {
        "plan.json": b"2",
        "marked.svg": b"c",
    }
    assert [p.name for p in tmp_path.iterdir()] == ["hymn"]


def test_a_folder_with_the_organists_own_files_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "hymn"
    folder.mkdir()
    (folder / "notes.odt").write_bytes(b"mine")
    with pytest.raises(OutputError, match=r"notes\.odt"):
        write_folder(folder, {"plan.json": b"2"})
    assert [p.name for p in folder.iterdir()] == ["notes.odt"]
    assert [p.name for p in tmp_path.iterdir()] == ["hymn"]


def test_nothing_is_left_behind_where_writing_fails(tmp_path: Path) -> None:
    with pytest.raises(OutputError):
        write_folder(tmp_path / "hymn", {"a/b": b"no such folder inside"})
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError):
        write_whole(tmp_path / "file" / "below", b"x")


def test_a_file_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "plan.txt"
    write_whole(target, b"old")
    write_whole(target, b"new")
    assert target.read_bytes() == b"new"
    assert [p.name for p in tmp_path.iterdir()] == ["plan.txt"]


def test_what_cannot_be_read_is_said(tmp_path: Path) -> None:
    with pytest.raises(ScoreError, match="no file"):
        read_bytes(tmp_path / "missing.abc")
    with pytest.raises(ScoreError, match="folder"):
        read_bytes(tmp_path)
