"""The words on one note, as MEI has them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from lxml import etree

from suspirium.score.mei.events import Verse
from suspirium.score.mei.xml import first_child, local, text_of

_NUMBER = re.compile(r"\(?\d{1,3}[.):]?")
_GOES_ON = ("i", "m")


def verses_of(element: etree._Element) -> Iterator[Verse]:
    """The verses under a note or chord; `@syl` and a `syl` outside a verse are verse 1."""
    if element.get("syl"):
        yield _verse("1", "", [(element.get("syl", ""), None, None)])
    loose = [child for child in element if local(child) == "syl"]
    if loose:
        yield _verse("1", "", [_syllable(child) for child in loose])
    for child in element:
        if local(child) == "verse":
            label = first_child(child, "label")
            syllables = [_syllable(syl) for syl in child.iter("{*}syl")]
            said = text_of(label) if label is not None else child.get("label", "")
            yield _verse(child.get("n", "1"), said, syllables)


def _syllable(syl: etree._Element) -> tuple[str, str | None, str | None]:
    return text_of(syl), syl.get("con"), syl.get("wordpos")


def _verse(place: str, label: str, parts: list[tuple[str, str | None, str | None]]) -> Verse:
    """One verse: syllables of one note joined by a space, a printed number taken off."""
    if len(parts) > 1 and _NUMBER.fullmatch(parts[0][0]):
        label, parts = parts[0][0], parts[1:]
    if not parts:
        return Verse(place, "", label=label)
    text, connects, position = parts[-1]
    joins = connects == "d" or position in _GOES_ON
    if connects is None and position is None and text.endswith("-"):
        text, joins = text[:-1], True
    if connects is None and position is None:
        text = text.rstrip("_")
    words = [part[0] for part in parts[:-1]] + [text]
    shown = " ".join(word for word in words if word)
    return Verse(place, shown, joins, label, holds=not shown and connects == "u")
