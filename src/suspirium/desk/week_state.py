"""Whether anything was written that the week is planned from."""

from __future__ import annotations

from datetime import date
from hashlib import sha256

from sqlalchemy import func, select

from suspirium.desk.week_asked import asked_from
from suspirium.store.library import Library
from suspirium.store.practice import asked_of, latest_week
from suspirium.store.schema import PracticeRow


def week_state(library: Library, today: date) -> str | None:
    """A name for what the week of `today` is planned from; None if no week was ever planned.

    The same name means the same week.
    """
    with library.session() as session:
        row = latest_week(session, today)
        if row is None:
            return None
        lines = session.scalar(select(func.max(PracticeRow.id))) or 0
        text = f"{today} {row.id} {row.asked} {row.laid_out} {lines}"
        return sha256(text.encode()).hexdigest()


def week_titles(library: Library, today: date) -> tuple[str, ...]:
    """The hymns of the week under way or the last one, in the order of the week."""
    with library.session() as session:
        row = latest_week(session, today)
        hymns = asked_from(asked_of(row)).hymns if row is not None else ()
        return tuple(each.named.title for each in hymns)
