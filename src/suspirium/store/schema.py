"""The tables of the library, as SQLAlchemy maps them."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index, LargeBinary, MetaData, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship


class Base(DeclarativeBase):
    """Names of constraints are fixed, so that migrations can name them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_name)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


class HymnRow(Base):
    """One hymn: its score by content, and what it is found by.

    `digest` is the SHA-256 of the file's bytes: the same file is kept once. `search` is
    all its text without accents and capitals; `degrees` and `intervals` are the melody as
    tokens (`suspirium.repertoire.melody`); `beats` are the beat strengths of its syllables,
    lines parted by points (`suspirium.repertoire.card`).
    """

    __tablename__ = "hymns"

    id: Mapped[int] = mapped_column(primary_key=True)
    digest: Mapped[str] = mapped_column(unique=True)
    file_name: Mapped[str]
    score: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    added_at: Mapped[datetime]
    title: Mapped[str]
    tune: Mapped[str]
    first_line: Mapped[str]
    author: Mapped[str]
    metre: Mapped[str]
    fifths: Mapped[int]
    mode: Mapped[str]
    low_midi: Mapped[int]
    high_midi: Mapped[int]
    duration_s: Mapped[float]
    difficulty: Mapped[float]
    degrees: Mapped[str] = mapped_column(Text)
    intervals: Mapped[str] = mapped_column(Text)
    lengths: Mapped[str] = mapped_column(Text)
    beats: Mapped[str] = mapped_column(Text)
    search: Mapped[str] = mapped_column(Text)
    notes: Mapped[str] = mapped_column(Text, default="")
    overrides: Mapped[str] = mapped_column(Text, default="")
    stanzas: Mapped[list[StanzaRow]] = relationship(
        cascade="all, delete-orphan", order_by="StanzaRow.number", lazy="selectin"
    )
    rights: Mapped[list[RightRow]] = relationship(
        cascade="all, delete-orphan", order_by="RightRow.id", lazy="selectin"
    )
    tags: Mapped[list[TagRow]] = relationship(
        cascade="all, delete-orphan", order_by="TagRow.tag", lazy="selectin"
    )

    __table_args__ = (Index(None, "title"), Index(None, "tune"), Index(None, "metre"))


class StanzaRow(Base):
    """The words of one stanza, a line a line."""

    __tablename__ = "stanzas"

    hymn_id: Mapped[int] = mapped_column(
        ForeignKey("hymns.id", ondelete="CASCADE"), primary_key=True
    )
    number: Mapped[int] = mapped_column(primary_key=True)
    words: Mapped[str] = mapped_column(Text)


class RightRow(Base):
    """Source and licence of one part: words, tune, setting or engraving are separate rights."""

    __tablename__ = "rights"

    id: Mapped[int] = mapped_column(primary_key=True)
    hymn_id: Mapped[int] = mapped_column(ForeignKey("hymns.id", ondelete="CASCADE"), index=True)
    part: Mapped[str]
    credit: Mapped[str] = mapped_column(Text, default="")
    licence: Mapped[str] = mapped_column(Text, default="")


class TagRow(Base):
    """A word the organist puts on a hymn."""

    __tablename__ = "tags"

    hymn_id: Mapped[int] = mapped_column(
        ForeignKey("hymns.id", ondelete="CASCADE"), primary_key=True
    )
    tag: Mapped[str] = mapped_column(primary_key=True)


class WeekRow(Base):
    """A week of practice as it was asked for: `asked` is JSON, `laid_out` the task lists of
    the days that have begun, as JSON by date."""

    __tablename__ = "weeks"

    id: Mapped[int] = mapped_column(primary_key=True)
    service_on: Mapped[date] = mapped_column(index=True)
    made_at: Mapped[datetime]
    asked: Mapped[str] = mapped_column(Text)
    laid_out: Mapped[str] = mapped_column(Text, default="{}")


class PracticeRow(Base):
    """One line of a hymn's running record, kept by the digest of its score over the years,
    whether it is in the library or not.

    `kind` is "said", "done", "take" or "sung"; `details` is JSON with what belongs to it.
    """

    __tablename__ = "practice"

    id: Mapped[int] = mapped_column(primary_key=True)
    digest: Mapped[str] = mapped_column(index=True)
    title: Mapped[str]
    on: Mapped[date] = mapped_column("on_day")
    kind: Mapped[str]
    details: Mapped[str] = mapped_column(Text)


class TakeRow(Base):
    """A take that was heard: what it showed, by the digest of the hymn's score.

    `report` is JSON (``docs/take.schema.json``), `shown` JSON with what its page shows and
    `pdf` the report on paper. `kept_as` is the take's own file in the folder beside the
    library, named by its content; empty where it was not kept.
    """

    __tablename__ = "takes"

    id: Mapped[int] = mapped_column(primary_key=True)
    digest: Mapped[str] = mapped_column(index=True)
    title: Mapped[str]
    made_at: Mapped[datetime]
    name: Mapped[str]
    report: Mapped[str] = mapped_column(Text)
    shown: Mapped[str] = mapped_column(Text, deferred=True)
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    kept_as: Mapped[str] = mapped_column(default="", server_default="")
