"""Everything before the parts: titles, identification, credits, list of parts."""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from suspirium.score.mei.header import (
    METRE_FIELD,
    OTHER_TITLE_CREDIT,
    STANZA_CREDIT,
    TUNE_FIELD,
    VOICES_FIELD,
)
from suspirium.score.model import Hymn

_CREATORS = {"words": "lyricist", "music": "composer", "setting": "arranger", "": ""}


def add_header(score: etree._Element, hymn: Hymn) -> None:
    """Work, identification and credits; what MusicXML has no place for goes into fields."""
    if hymn.title:
        work = etree.SubElement(score, "work")
        etree.SubElement(work, "work-title").text = hymn.title
    _add_identification(score, hymn)
    for credit in hymn.credits:
        if credit.role == "title":
            _add_credit(score, OTHER_TITLE_CREDIT, credit.text)
    for stanza in hymn.plain_stanzas:
        _add_credit(score, STANZA_CREDIT, "\n".join(stanza))


def _add_identification(score: etree._Element, hymn: Hymn) -> None:
    identification = etree.SubElement(score, "identification")
    for credit in hymn.credits:
        if credit.role in _CREATORS:
            creator = etree.SubElement(identification, "creator")
            if _CREATORS[credit.role]:
                creator.set("type", _CREATORS[credit.role])
            creator.text = credit.text
    for credit in hymn.credits:
        if credit.role == "copyright":
            etree.SubElement(identification, "rights").text = credit.text
    encoding = etree.SubElement(identification, "encoding")
    etree.SubElement(encoding, "software").text = "suspirium"
    for element in ("accidental", "beam", "stem"):
        etree.SubElement(encoding, "supports", type="yes", element=element)
    sources = [credit.text for credit in hymn.credits if credit.role == "source"]
    if sources:
        etree.SubElement(identification, "source").text = "\n".join(sources)
    _add_fields(identification, hymn)


def _add_fields(identification: etree._Element, hymn: Hymn) -> None:
    holder = etree.SubElement(identification, "miscellaneous")
    names = " ".join(voice.name.replace(" ", "_") for voice in hymn.voices)
    fields = ((TUNE_FIELD, hymn.tune), (METRE_FIELD, hymn.metre), (VOICES_FIELD, names))
    for name, text in fields:
        if text:
            etree.SubElement(holder, "miscellaneous-field", name=name).text = text


def _add_credit(score: etree._Element, kind: str, text: str) -> None:
    credit = etree.SubElement(score, "credit", page="1")
    etree.SubElement(credit, "credit-type").text = kind
    etree.SubElement(credit, "credit-words").text = text


def add_part_list(score: etree._Element, names: Sequence[str]) -> None:
    """The list of parts; their ids are P1, P2 and so on."""
    parts = etree.SubElement(score, "part-list")
    for number, name in enumerate(names, start=1):
        part = etree.SubElement(parts, "score-part", id=f"P{number}")
        etree.SubElement(part, "part-name").text = name
