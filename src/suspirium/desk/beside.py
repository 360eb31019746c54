"""What is kept beside a hymn, and hymns made from a hymn: with other words, to another tune."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from suspirium.desk.deciding import StaleError, version_of
from suspirium.desk.exchanging import take_tune
from suspirium.desk.finding import found_in
from suspirium.desk.hymnal import add_scores, put_tags
from suspirium.desk.naming import folder_name
from suspirium.desk.underlaying import Underlay, lay_text
from suspirium.errors import LibraryError
from suspirium.score.musicxml import write_musicxml
from suspirium.store import read_bytes, write_whole
from suspirium.store.hymnal import by_digest, by_id, digest_of
from suspirium.store.library import Library
from suspirium.store.schema import HymnRow


@dataclass(frozen=True, slots=True)
class Right:
    """A part of a hymn: who made it and from which source, and how it may be used."""

    part: str
    credit: str
    licence: str


@dataclass(frozen=True, slots=True)
class Beside:
    """What is kept beside a hymn."""

    notes: str
    tags: tuple[str, ...]
    rights: tuple[Right, ...]

    @property
    def version(self) -> str:
        """By its content: whoever saves must have seen what is there."""
        rights = [(right.part, right.credit, right.licence) for right in self.rights]
        return version_of(json.dumps([self.notes, self.tags, rights]))


def beside(library: Library, number: int) -> Beside:
    """What is kept beside a hymn; `LibraryError` if there is none of this number."""
    with library.session() as session:
        return _beside(by_id(session, number))


def keep_beside(library: Library, number: int, wanted: Beside, version: str) -> None:
    """Keeps notes, tags and rights if `version` is what lies in the library; else `StaleError`."""
    with library.session() as session:
        row = by_id(session, number)
        kept = _beside(row)
        if kept.version != version:
            raise StaleError(kept.notes, "notes")
        row.notes = wanted.notes
        put_tags(row, wanted.tags)
        given = {right.part: right for right in wanted.rights}
        for right in row.rights:
            if right.part in given:
                right.credit = given[right.part].credit
                right.licence = given[right.part].licence


def _beside(row: HymnRow) -> Beside:
    return Beside(
        row.notes,
        tuple(sorted(tag.tag for tag in row.tags)),
        tuple(Right(right.part, right.credit, right.licence) for right in row.rights),
    )


def to_tune(library: Library, number: int, tune: int, folder: Path) -> int:
    """The words of one hymn under the tune of another, as a new hymn; its number.

    What does not fit is written into its notes. `LibraryError` where the metres differ.
    """
    out = folder / f"{folder_name(_title(library, number))}.musicxml"
    told = take_tune(library, str(number), str(tune), out)
    return _new(library, out, told, "")


def words_tried(library: Library, number: int, text: str) -> Underlay:
    """How stanzas of plain text fit under a hymn's notes; `ScoreError` for a text without words."""
    return lay_text(found_in(library, number), text, "this text")


def with_words(library: Library, number: int, text: str, folder: Path) -> int:
    """The hymn with these stanzas under its notes, as a new hymn; its number.

    Own decisions come along; what does not fit is written into the new hymn's notes.
    """
    done = words_tried(library, number, text)
    out = folder / f"{folder_name(_title(library, number))}.musicxml"
    write_whole(out, write_musicxml(done.hymn))
    told = [str(remark) for one in done.laid for remark in one.remarks]
    return _new(library, out, told, found_in(library, number).overrides or "")


def _title(library: Library, number: int) -> str:
    with library.session() as session:
        row = by_id(session, number)
        return row.title or Path(row.file_name).stem


def _new(library: Library, score: Path, told: Sequence[str], overrides: str) -> int:
    """Puts a score in that was made here; the number it has now, or had already."""
    added = add_scores(library, [score])
    for _, problem in added.failed:
        raise LibraryError(f"the hymn could not be put in: {problem}")
    with library.session() as session:
        row = by_digest(session, digest_of(read_bytes(score)))
        assert row is not None, "it was put in just now"
        if added.added:
            row.notes = "\n".join(told)
            row.overrides = overrides
        return row.id
