"""A hymn as the organist names it: a file, or a hymn of her library."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from suspirium.errors import LibraryError, ScoreError
from suspirium.store import read_bytes

if TYPE_CHECKING:
    from suspirium.store.library import Library


@dataclass(frozen=True, slots=True)
class Found:
    """A score's content, what it is called, and where its own decisions are: `overrides` is
    their text if the hymn comes from the library, None if they lie beside the file."""

    name: str
    score: bytes
    path: Path
    overrides: str | None = None


def find_score(name: Path) -> Found:
    """The score that `name` means: a file if there is one, else a hymn in the library.

    Raises `ScoreError` in one sentence where it is neither, `LibraryError` where several
    hymns may be meant.
    """
    if name.exists() or _looks_like_file(name):
        return Found(name.name, read_bytes(name), name)
    from suspirium.desk.hymnal import hymn_number, library_path, the_library

    if not library_path().exists():
        raise ScoreError(f"there is no file {name}; check its name")
    with the_library() as library:
        try:
            number = hymn_number(library, str(name))
        except LibraryError as problem:
            if "there is no hymn" in problem.text:
                raise ScoreError(
                    f"there is no file {name}, and no hymn of that name in the library"
                ) from None
            raise
        return found_in(library, number)


def found_in(library: Library, number: int) -> Found:
    """The hymn of this number in the library; `LibraryError` if there is none."""
    from suspirium.store.hymnal import by_id

    with library.session() as session:
        row = by_id(session, number, score=True)
        return Found(row.file_name, row.score, Path(row.file_name), row.overrides)


def _looks_like_file(name: Path) -> bool:
    """A path with a folder or a known ending is meant as a file."""
    from suspirium.score.reading import ENDINGS

    return len(name.parts) > 1 or name.suffix.lower() in ENDINGS
