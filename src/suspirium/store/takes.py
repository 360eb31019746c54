"""Takes in the library: kept, listed, taken out."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session, undefer

from suspirium.errors import LibraryError
from suspirium.store.schema import TakeRow


def takes(session: Session, digest: str | None = None) -> Sequence[TakeRow]:
    """The takes of a hymn, or all, the newest first."""
    chosen = select(TakeRow).order_by(TakeRow.made_at.desc(), TakeRow.id.desc())
    if digest is not None:
        chosen = chosen.where(TakeRow.digest == digest)
    return session.scalars(chosen).all()


def take_by_id(session: Session, number: int) -> TakeRow:
    """The take with this number, all of it; `LibraryError` if there is none."""
    options = (undefer(TakeRow.shown), undefer(TakeRow.pdf))
    row = session.get(TakeRow, number, options=options)
    if row is None:
        raise LibraryError(f"there is no take number {number} in the library")
    return row
