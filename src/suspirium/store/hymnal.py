"""Hymns in the library: put in, found, taken out."""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from functools import cache
from hashlib import sha256
from itertools import accumulate

from sqlalchemy import Select, or_, select
from sqlalchemy.orm import Session, lazyload, load_only, undefer

from suspirium.errors import LibraryError
from suspirium.repertoire.card import PARTS, Card
from suspirium.repertoire.melody import Melody, tokens
from suspirium.store.schema import HymnRow, RightRow, StanzaRow, TagRow


@dataclass(frozen=True, slots=True)
class Query:
    """What a search asks for; None or empty asks nothing.

    `text` is looked for in title, tune, author, first line and words; `pattern` is
    ("degrees" or "intervals", tokens).
    """

    text: str = ""
    title: str = ""
    tune: str = ""
    author: str = ""
    first_line: str = ""
    metre: str = ""
    fifths: int | None = None
    mode: str = ""
    lowest_midi: int | None = None
    highest_midi: int | None = None
    pattern: tuple[str, str] | None = None
    easiest: float | None = None
    hardest: float | None = None
    shortest_s: float | None = None
    longest_s: float | None = None
    tag: str = ""


def digest_of(score: bytes) -> str:
    """The name of a score by its content: SHA-256, FIPS 180-4, in hexadecimal."""
    return sha256(score).hexdigest()


def folded(text: str) -> str:
    """Text without accents, capitals and marks, for searching."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(
        sign if sign.isalnum() or sign.isspace() else " "
        for sign in plain
        if not unicodedata.combining(sign) and sign not in "'’"
    )
    return " ".join(kept.split())


def known_digests(session: Session) -> set[str]:
    """The digests of all scores in the library."""
    return set(session.scalars(select(HymnRow.digest)))


def add(session: Session, file_name: str, score: bytes, card: Card, now: datetime) -> HymnRow:
    """Puts a hymn in; `LibraryError` if the same file is there already."""
    digest = digest_of(score)
    if session.scalar(select(HymnRow.id).where(HymnRow.digest == digest)) is not None:
        raise LibraryError(f"{file_name} is in the library already")
    row = HymnRow(
        digest=digest,
        file_name=file_name,
        score=score,
        added_at=now,
        title=card.title,
        tune=card.tune,
        first_line=card.first_line,
        author=card.author,
        metre=card.metre,
        fifths=card.fifths,
        mode=card.mode,
        low_midi=card.low_midi,
        high_midi=card.high_midi,
        duration_s=card.duration_s,
        difficulty=card.difficulty,
        degrees=tokens(card.melody.degrees),
        intervals=tokens(card.melody.intervals),
        lengths=tokens(card.melody.lengths_q),
        beats=".".join(card.beats),
        search=_search(card),
        notes="",
        overrides="",
        stanzas=[StanzaRow(number=n, words=words) for n, words in enumerate(card.stanzas, 1)],
        rights=[
            RightRow(
                part=part,
                credit="; ".join(text for name, text in card.credits if name == part),
                licence="",
            )
            for part in PARTS
        ],
    )
    session.add(row)
    session.flush()
    return row


def _search(card: Card) -> str:
    text = (card.title, card.tune, card.author, *card.stanzas)
    return "\n".join(folded(part) for part in text)


_CARD = (
    HymnRow.title,
    HymnRow.tune,
    HymnRow.first_line,
    HymnRow.author,
    HymnRow.metre,
    HymnRow.fifths,
    HymnRow.mode,
    HymnRow.low_midi,
    HymnRow.high_midi,
    HymnRow.duration_s,
    HymnRow.difficulty,
)


_MELODY = (HymnRow.degrees, HymnRow.intervals, HymnRow.lengths, HymnRow.beats)


def find(
    session: Session, query: Query, *, cards: bool = False, melodies: bool = False
) -> Sequence[HymnRow]:
    """The hymns that fit all that is asked, by title and then by tune; with `cards` only what
    a list shows is read, with `melodies` the melody too, which is much quicker in a large
    library."""
    chosen: Select[HymnRow] = select(HymnRow).order_by(HymnRow.title, HymnRow.tune, HymnRow.id)
    if cards or melodies:
        parts = (HymnRow.stanzas, HymnRow.rights, HymnRow.tags)
        columns = (*_CARD, *_MELODY) if melodies else _CARD
        chosen = chosen.options(load_only(*columns), *(lazyload(part) for part in parts))
    for word in folded(query.text).split():
        chosen = chosen.where(HymnRow.search.contains(word, autoescape=True))
    if query.fifths is not None:
        chosen = chosen.where(HymnRow.fifths == query.fifths)
    if query.mode:
        chosen = chosen.where(HymnRow.mode == query.mode)
    if query.lowest_midi is not None:
        chosen = chosen.where(HymnRow.low_midi >= query.lowest_midi)
    if query.highest_midi is not None:
        chosen = chosen.where(HymnRow.high_midi <= query.highest_midi)
    if query.pattern is not None:
        tones = HymnRow.degrees if query.pattern[0] == "degrees" else HymnRow.intervals
        chosen = chosen.where(tones.contains(query.pattern[1], autoescape=True))
    for size, least, most in (
        (HymnRow.difficulty, query.easiest, query.hardest),
        (HymnRow.duration_s, query.shortest_s, query.longest_s),
    ):
        if least is not None:
            chosen = chosen.where(size >= least)
        if most is not None:
            chosen = chosen.where(size <= most)
    if query.tag:
        chosen = chosen.join(TagRow).where(TagRow.tag == folded(query.tag))
    wanted = (
        ("title", query.title),
        ("tune", query.tune),
        ("author", query.author),
        ("first_line", query.first_line),
        ("metre", query.metre),
    )
    return [
        row
        for row in session.scalars(chosen)
        if all(folded(asked) in folded(getattr(row, name)) for name, asked in wanted if asked)
    ]


def by_id(session: Session, number: int, *, score: bool = False) -> HymnRow:
    """The hymn with this number, its score too if asked; `LibraryError` if there is none."""
    options = (undefer(HymnRow.score),) if score else ()
    row = session.get(HymnRow, number, options=options)
    if row is None:
        raise LibraryError(f"there is no hymn number {number} in the library")
    return row


def by_digest(session: Session, digest: str) -> HymnRow | None:
    """The hymn with the score of this digest, None if there is none."""
    return session.scalar(select(HymnRow).where(HymnRow.digest == digest))


def named(session: Session, name: str) -> Sequence[HymnRow]:
    """The hymns that a name means: their number, else title, tune or first line in full, else
    in part."""
    if name.isdigit():
        row = session.get(HymnRow, int(name))
        return [row] if row is not None else []
    wanted = folded(name)
    rows = session.scalars(
        select(HymnRow)
        .where(
            or_(
                HymnRow.search.contains(wanted, autoescape=True),
                HymnRow.file_name.contains(name, autoescape=True),
            )
        )
        .order_by(HymnRow.title, HymnRow.id)
    ).all()
    full = [row for row in rows if wanted in _names(row)]
    return full or [row for row in rows if any(wanted in each for each in _names(row))]


def _names(row: HymnRow) -> Collection[str]:
    stem = row.file_name.rsplit(".", 1)[0]
    return {folded(text) for text in (row.title, row.tune, row.first_line, stem, row.file_name)}


def stored_melody(row: HymnRow) -> Melody:
    """The melody as it was put in, but from middle C."""
    steps = [int(text) for text in row.intervals.split(",") if text]
    return Melody(
        tuple(accumulate(steps, initial=60)),
        tuple(_fraction(text) for text in row.lengths.split(",") if text),
        tuple(text for text in row.degrees.split(",") if text),
    )


@cache
def _fraction(text: str) -> Fraction:
    """A length; a hymnal of a thousand hymns has a dozen of them."""
    return Fraction(text)
