"""The hymnal: adding scores, finding them, what is kept beside them."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from suspirium.desk.naming import folder_name
from suspirium.desk.working import workers
from suspirium.errors import LibraryError, SearchError, SuspiriumError
from suspirium.plan.build import plan_hymn
from suspirium.plan.overrides import read_overrides
from suspirium.repertoire.alike import likenesses
from suspirium.repertoire.card import PARTS, Card, card_of, credit_line
from suspirium.repertoire.keys import key_named, midi_named
from suspirium.repertoire.melody import pattern_tokens
from suspirium.score.keynames import key_words
from suspirium.score.musicxml.writer import write_musicxml
from suspirium.score.reading import ENDINGS, read
from suspirium.store import read_bytes, write_whole
from suspirium.store.backup import restore
from suspirium.store.hymnal import (
    Query,
    add,
    by_id,
    digest_of,
    find,
    folded,
    known_digests,
    named,
    stored_melody,
)
from suspirium.store.library import Library, open_library
from suspirium.store.schema import HymnRow, TagRow
from suspirium.tables import load

VARIABLE = "SUSPIRIUM_LIBRARY"
_FEW = 8  # files below which one process reads them all
_TOGETHER = 4  # files a worker is handed at once


def library_path() -> Path:
    """Where the library lies: as the environment says, else in the user's data folder."""
    given = os.environ.get(VARIABLE)
    if given:
        return Path(given)
    from platformdirs import user_data_path

    return user_data_path("suspirium", appauthor=False) / "hymnal.sqlite"


@contextmanager
def the_library(path: Path | None = None) -> Iterator[Library]:
    """The library at `path`, or the usual one."""
    with open_library(path or library_path()) as library:
        yield library


@dataclass(frozen=True, slots=True)
class Added:
    """What came of adding: how many were put in, how many were there, and what failed."""

    added: tuple[str, ...]
    present: int
    failed: tuple[tuple[str, str], ...]


def score_files(paths: Sequence[Path]) -> list[Path]:
    """The scores among these paths: files as given, folders by the scores anywhere inside."""
    found: list[Path] = []
    for path in paths:
        if path.is_dir():
            inside = (p for p in sorted(path.rglob("*")) if p.suffix.lower() in ENDINGS)
            found += [p for p in inside if p.is_file() and not p.name.startswith(".")]
        else:
            found.append(path)
    return found


def add_scores(
    library: Library,
    files: Sequence[Path],
    progress: Callable[[str], None] = lambda name: None,
    processes: int | None = None,
) -> Added:
    """Puts scores in, each in a transaction of its own; what is there already is passed over.

    A file that can't be read or planned is told in `failed`; the others go on.
    """
    with library.session() as session:
        known = known_digests(session)
    added: list[str] = []
    failed: list[tuple[str, str]] = []
    fresh: list[tuple[Path, bytes]] = []
    present = 0
    for path in files:
        try:
            score = read_bytes(path)
        except SuspiriumError as problem:
            failed.append((str(path), str(problem)))
            continue
        if digest_of(score) in known:
            present += 1
            progress(path.name)
        else:
            known.add(digest_of(score))
            fresh.append((path, score))
    for (path, score), card in zip(fresh, _cards(fresh, processes), strict=True):
        progress(path.name)
        if isinstance(card, str):
            failed.append((str(path), card))
            continue
        with library.session() as session:
            row = add(session, path.name, score, card, datetime.now(UTC).replace(tzinfo=None))
            added.append(row.title or path.stem)
    return Added(tuple(added), present, tuple(failed))


def _cards(files: Sequence[tuple[Path, bytes]], processes: int | None) -> Iterator[Card | str]:
    """The card of every score; in its place a sentence where there is none."""
    if len(files) < _FEW or processes == 1:
        yield from map(_card, files)
        return
    with workers(processes) as pool:
        yield from pool.map(_card, files, chunksize=_TOGETHER)


def _card(file: tuple[Path, bytes]) -> Card | str:
    path, score = file
    try:
        return card_of(plan_hymn(read(score, path.name)))
    except SuspiriumError as problem:
        return str(problem)
    except Exception as problem:  # one strange file must not stop a thousand good ones
        return f"a fault of the program itself ({type(problem).__name__}: {problem})"


def hymn_number(library: Library, name: str) -> int:
    """The number of the one hymn that `name` means; `LibraryError` if none or several."""
    with library.session() as session:
        rows = named(session, name)
        if len(rows) == 1:
            return rows[0].id
        told = [f"{row.title} ({row.tune or row.file_name}), number {row.id}" for row in rows[:5]]
    if not told:
        raise LibraryError(f"there is no hymn {name!r} in the library; look with: hymnal find")
    more = ", ..." if len(rows) > len(told) else ""
    raise LibraryError(f"{name!r} may be {'; '.join(told)}{more}; give the number")


def query(
    *,
    text: str = "",
    title: str = "",
    tune: str = "",
    author: str = "",
    first_line: str = "",
    metre: str = "",
    key: str = "",
    within: str = "",
    notes: str = "",
    difficulty: tuple[float | None, float | None] = (None, None),
    duration_s: tuple[float | None, float | None] = (None, None),
    tag: str = "",
) -> Query:
    """A search as it is typed; `SearchError` says what can't be understood."""
    fifths, mode = key_named(key) if key else (None, "")
    low, high = _range(within) if within else (None, None)
    return Query(
        text=text,
        title=title,
        tune=tune,
        author=author,
        first_line=first_line,
        metre=metre_figures(metre),
        fifths=fifths,
        mode=mode,
        lowest_midi=low,
        highest_midi=high,
        pattern=pattern_tokens(notes) if notes else None,
        easiest=difficulty[0],
        hardest=difficulty[1],
        shortest_s=duration_s[0],
        longest_s=duration_s[1],
        tag=tag,
    )


def metre_figures(metre: str) -> str:
    """A metre as figures: CM is 8.6.8.6, LMD twice 8.8.8.8; figures stay as they are."""
    names = {"cm": "8.6.8.6", "lm": "8.8.8.8", "sm": "6.6.8.6"}
    short = metre.casefold().replace(".", "").replace(" ", "")
    if short in names:
        return names[short]
    if short.endswith("d") and short[:-1] in names:
        return ".".join([names[short[:-1]]] * 2)
    return metre


def _range(text: str) -> tuple[int, int]:
    ends = [midi_named(end) for end in text.replace("–", "-").rsplit("-", 1)]
    if len(ends) != 2 or ends[0] > ends[1]:
        raise SearchError(f"{text!r} is no range; write the lowest and highest note: C4-D5")
    return ends[0], ends[1]


def find_hymns(library: Library, asked: Query) -> list[dict[str, Any]]:
    """What is found, a card each."""
    with library.session() as session:
        return [card_values(row) for row in find(session, asked)]


def some_hymns(
    library: Library, asked: Query, first: int = 0, most: int | None = None
) -> tuple[list[dict[str, Any]], int]:
    """Cards of what is found, `most` of them from the `first` on (from 0), and how many are
    found in all."""
    with library.session() as session:
        found = find(session, asked, cards=True)
        end = None if most is None else first + most
        return [card_values(row) for row in found[first:end]], len(found)


def show_hymn(library: Library, name: str) -> dict[str, Any]:
    """All that is known of one hymn; `same_tune` are the others with its melody."""
    number = hymn_number(library, name)
    with library.session() as session:
        row = by_id(session, number)
        mine = stored_melody(row)
        least = load("repertoire").number("alike.least")
        others = [one for one in find(session, Query(), melodies=True) if one.id != number]
        alike = likenesses(mine, [stored_melody(other) for other in others])
        same = [
            {"number": other.id, "title": other.title, "tune": other.tune}
            for other, value in zip(others, alike, strict=True)
            if value >= least
        ]
        return card_values(row) | {
            "file": row.file_name,
            "added": row.added_at.isoformat(timespec="seconds"),
            "stanzas": [stanza.words for stanza in row.stanzas],
            "rights": {
                right.part: {"credit": right.credit, "licence": right.licence}
                for right in row.rights
            },
            "credit_line": credit_line((right.part, right.credit) for right in row.rights),
            "tags": [tag.tag for tag in row.tags],
            "notes": row.notes,
            "overrides": row.overrides,
            "same_tune": same,
        }


def card_values(row: HymnRow) -> dict[str, Any]:
    """What a hymn is shown by in a list."""
    return {
        "number": row.id,
        "title": row.title,
        "tune": row.tune,
        "first_line": row.first_line,
        "author": row.author,
        "metre": row.metre,
        "key": key_words(row.fifths, row.mode),
        "range": [row.low_midi, row.high_midi],
        "duration_s": round(row.duration_s, 1),
        "difficulty": round(row.difficulty, 2),
    }


def note_hymn(
    library: Library,
    name: str,
    text: str | None = None,
    tags: Sequence[str] = (),
    untag: Sequence[str] = (),
    part: str = "",
    credit: str | None = None,
    licence: str | None = None,
    overrides: Path | None = None,
) -> None:
    """Writes beside a hymn, all of it or nothing."""
    if (credit is not None or licence is not None) and part not in PARTS:
        raise LibraryError(f"say whose rights they are: --part {', '.join(PARTS)}")
    number = hymn_number(library, name)
    decisions = None
    if overrides is not None:
        decisions = read_bytes(overrides).decode("utf-8", "replace")
        read_overrides(decisions)  # says what is wrong before anything is kept
    with library.session() as session:
        row = by_id(session, number)
        if text is not None:
            row.notes = text
        kept = {tag.tag for tag in row.tags} | {folded(tag) for tag in tags}
        put_tags(row, kept - {folded(tag) for tag in untag})
        for right in row.rights:
            if right.part == part:
                right.credit = right.credit if credit is None else credit
                right.licence = right.licence if licence is None else licence
        if decisions is not None:
            row.overrides = decisions


def put_tags(row: HymnRow, words: Iterable[str]) -> None:
    """Makes `words` the tags of a hymn, all others taken off."""
    row.tags = [
        next((tag for tag in row.tags if tag.tag == word), TagRow(tag=word))
        for word in sorted({folded(word) for word in words})
        if word
    ]


def remove_hymn(library: Library, number: int) -> None:
    """Takes a hymn out, with all that is kept beside it."""
    with library.session() as session:
        session.delete(by_id(session, number))


def restore_library(source: Path, library: Path | None) -> Path | None:
    """Puts a backup in the library's place; gives back where the old one is kept."""
    path = library or library_path()
    stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
    return restore(source, path, path.with_name(f"{path.stem}-before-{stamp}{path.suffix}"))


def export_library(
    library: Library,
    folder: Path,
    progress: Callable[[int, int, str], None] = lambda done, total, name: None,
) -> int:
    """Writes each hymn's score as it came, as MusicXML, and all else as JSON; how many."""
    with library.session() as session:
        numbers = [row.id for row in find(session, Query(), cards=True)]
    for done, number in enumerate(numbers):
        values = show_hymn(library, str(number))
        progress(done, len(numbers), values["title"])
        with library.session() as session:
            score = by_id(session, number, score=True).score
        hymn = read(score, values["file"])
        written = json.dumps(values, ensure_ascii=False, indent=2) + "\n"
        stem = f"{number:04}-{folder_name(values['title'] or Path(values['file']).stem)}"
        files = {
            values["file"]: score,
            "score.musicxml": write_musicxml(hymn),
            "hymn.json": written.encode(),
        }
        if values["overrides"]:
            files[f"{Path(values['file']).stem}.overrides.toml"] = values["overrides"].encode()
        target = folder / stem
        target.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            write_whole(target / name, content)
    return len(numbers)
