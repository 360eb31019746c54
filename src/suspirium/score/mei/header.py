"""Title, credits and what else stands apart from the music."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from lxml import etree

from suspirium.score.mei.xml import local, text_of
from suspirium.score.model import Credit

# Names of the fields in which MusicXML carries what it has no element for.
TUNE_FIELD, METRE_FIELD, VOICES_FIELD = "tune", "metre", "voices"
STANZA_CREDIT, OTHER_TITLE_CREDIT = "lyrics", "subtitle"

ROLES = {
    "lyricist": "words",
    "poet": "words",
    "librettist": "words",
    "author": "words",
    "translator": "words",
    "composer": "music",
    "arranger": "setting",
}
_FILE_NAME = re.compile(
    r"\.(?:mxl|xml|musicxml|mscz|krn|mei|abc|midi?)$|^untitled\b", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Header:
    """What a source says about the hymn; `voices` are their names, if it tells."""

    title: str = ""
    credits: tuple[Credit, ...] = ()
    tune: str = ""
    metre: str = ""
    plain_stanzas: tuple[tuple[str, ...], ...] = ()
    voices: tuple[str, ...] = ()


def musicxml_header(score: etree._Element, name: str) -> Header:
    """The header of a MusicXML score; `name` is the file's."""
    credit_words = [
        (_text(credit, "credit-type"), [_printed(words) for words in credit.iter("credit-words")])
        for credit in score.iterchildren("credit")
    ]
    fields = {
        field.get("name", ""): (field.text or "").strip()
        for field in score.iterfind("identification/miscellaneous/miscellaneous-field")
    }
    centred = (
        _printed(words)
        for words in score.iterfind("credit/credit-words")
        if "center" in (words.get("justify"), words.get("halign"))
    )
    titles = [
        _text(score, "movement-title"),
        _text(score, "work/work-title"),
        *(" ".join(texts) for kind, texts in credit_words if kind == "title"),
        *(" ".join(text.split()) for text in centred),
    ]
    return Header(
        title=_title(titles, name),
        credits=_unique([*_credit_lines(credit_words), *_identified(score)]),
        tune=fields.get(TUNE_FIELD, ""),
        metre=fields.get(METRE_FIELD, ""),
        plain_stanzas=tuple(
            tuple(line.strip() for line in text.splitlines() if line.strip())
            for kind, texts in credit_words
            if kind == STANZA_CREDIT
            for text in texts
        ),
        voices=tuple(fields.get(VOICES_FIELD, "").split()),
    )


def mei_header(mei: etree._Element, name: str) -> Header:
    """The header of an MEI document; `name` is the file's."""
    head = mei.find("{*}meiHead")
    if head is None:
        return Header(title=_title([], name))
    statement = next(head.iter("{*}titleStmt"), None)
    titles = [] if statement is None else [text_of(t) for t in statement.iterchildren("{*}title")]
    found = [
        Credit(role, text_of(element))
        for element in head.iter()
        if (role := ROLES.get(local(element)) or ROLES.get(element.get("role", "")))
    ]
    rights = [
        Credit("copyright", text_of(element))
        for element in head.iter("{*}useRestrict", "{*}distributor")
    ]
    return Header(title=_title(titles[:1], name), credits=_unique([*found, *rights]))


def _title(titles: list[str], name: str) -> str:
    """The first that is no file name, else the file's own name without its ending."""
    good = (title for title in titles if title and not _FILE_NAME.search(title))
    return next(good, "") or name.rpartition(".")[0] or name


def _text(element: etree._Element, path: str) -> str:
    return _line(element.findtext(path))


def _printed(words: etree._Element) -> str:
    return (words.text or "").strip()


def _line(text: str | None) -> str:
    """A text on one line; spaces inside a line stay as they are."""
    return " ".join(line.strip() for line in (text or "").splitlines()).strip()


def _credit_lines(credit_words: list[tuple[str, list[str]]]) -> Iterator[Credit]:
    """Credits printed on the page, of a type that says what they are."""
    for kind, texts in credit_words:
        text = _line(" ".join(texts))
        if kind == OTHER_TITLE_CREDIT:
            yield Credit("title", text)
        elif kind in ROLES:
            yield Credit(ROLES[kind], text)


def _identified(score: etree._Element) -> Iterator[Credit]:
    """Creators, rights and sources, in this order (MusicXML 4.0, identification)."""
    for creator in score.iterfind("identification/creator"):
        yield Credit(ROLES.get(creator.get("type", "").lower(), ""), _line(creator.text))
    for rights in score.iterfind("identification/rights"):
        yield Credit("copyright", _line(rights.text))
    for source in score.iterfind("identification/source"):
        for line in (source.text or "").splitlines():
            yield Credit("source", line.strip())


def _unique(found: list[Credit]) -> tuple[Credit, ...]:
    """Each text once; a second credit with the same text says nothing new."""
    by_text: dict[tuple[str, str], Credit] = {}
    for credit in found:
        by_text.setdefault((credit.role, credit.text), credit)
    return tuple(credit for credit in by_text.values() if credit.text)
