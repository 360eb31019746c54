"""`write_musicxml`: a hymn as MusicXML 4.0, partwise."""

from __future__ import annotations

from lxml import etree

from suspirium.score.model import Hymn
from suspirium.score.musicxml.header import add_header, add_part_list
from suspirium.score.musicxml.measures import measures_of
from suspirium.score.musicxml.parts import parts_of

_DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)


def write_musicxml(hymn: Hymn) -> bytes:
    """The hymn as a MusicXML 4.0 file.

    One or two staves are one part, more are a part each. Tune name, printed metre and
    names of voices go into miscellaneous fields, stanzas apart from the music into
    credits of type "lyrics". Lost: remarks, decorations MusicXML has no element for,
    slurs open at one end.
    """
    score = etree.Element("score-partwise", version="4.0")
    add_header(score, hymn)
    parts = parts_of(hymn)
    add_part_list(score, [part.name for part in parts])
    for number, part in enumerate(parts, start=1):
        element = etree.SubElement(score, "part", id=f"P{number}")
        element.extend(measures_of(hymn, part))
    return etree.tostring(
        score, xml_declaration=True, encoding="UTF-8", doctype=_DOCTYPE, pretty_print=True
    )
