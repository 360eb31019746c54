"""The hymnal: adding scores, finding them, what is kept beside them."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from suspirium.errors import LibraryError, SuspiriumError
from suspirium.plan.build import plan_hymn
from suspirium.repertoire.card import Card, card_of
from suspirium.score.reading import ENDINGS, read
from suspirium.store import read_bytes
from suspirium.store.hymnal import add, digest_of, known_digests
from suspirium.store.library import Library, open_library

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
    workers: int | None = None,
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
    for (path, score), card in zip(fresh, _cards(fresh, workers), strict=True):
        progress(path.name)
        if isinstance(card, str):
            failed.append((str(path), card))
            continue
        with library.session() as session:
            row = add(session, path.name, score, card, datetime.now(UTC).replace(tzinfo=None))
            added.append(row.title or path.stem)
    return Added(tuple(added), present, tuple(failed))


def _cards(files: Sequence[tuple[Path, bytes]], workers: int | None) -> Iterator[Card | str]:
    """The card of every score; in its place a sentence where there is none."""
    if len(files) < _FEW or workers == 1:
        yield from map(_card, files)
        return
    with ProcessPoolExecutor(workers or os.cpu_count()) as pool:
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
    from suspirium.store.hymnal import named

    with library.session() as session:
        rows = named(session, name)
        if len(rows) == 1:
            return rows[0].id
        told = [f"{row.title} ({row.tune or row.file_name}), number {row.id}" for row in rows[:5]]
    if not told:
        raise LibraryError(f"there is no hymn {name!r} in the library; look with: hymnal find")
    more = ", ..." if len(rows) > len(told) else ""
    raise LibraryError(f"{name!r} may be {'; '.join(told)}{more}; give the number")
