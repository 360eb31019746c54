"""What stands between the notes: signatures, clefs, texts and tempo."""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from suspirium.score.clefs import clef_place
from suspirium.score.model import KeyChange, TimeSignature

_SYMBOLS = {"C": "common", "¢": "cut"}


def attributes(
    *,
    divisions: int | None = None,
    key: KeyChange | None = None,
    times: Sequence[TimeSignature | None] = (),
    clefs: Sequence[str] = (),
) -> etree._Element:
    """An attributes element in the schema's order; `times` holds the new one, if any."""
    element = etree.Element("attributes")
    if divisions is not None:
        etree.SubElement(element, "divisions").text = str(divisions)
    if key is not None:
        holder = etree.SubElement(element, "key")
        etree.SubElement(holder, "fifths").text = str(key.fifths)
        etree.SubElement(holder, "mode").text = key.mode
    for time in times:
        _add_time(element, time)
    if len(clefs) > 1:
        etree.SubElement(element, "staves").text = str(len(clefs))
    for number, clef in enumerate(clefs, start=1):
        _add_clef(element, clef, number if len(clefs) > 1 else None)
    return element


def _add_time(element: etree._Element, time: TimeSignature | None) -> None:
    holder = etree.SubElement(element, "time")
    if time is None:
        holder.set("print-object", "no")
        etree.SubElement(holder, "senza-misura")
        return
    if time.symbol in _SYMBOLS:
        holder.set("symbol", _SYMBOLS[time.symbol])
    etree.SubElement(holder, "beats").text = str(time.beats)
    etree.SubElement(holder, "beat-type").text = str(time.unit)


def _add_clef(element: etree._Element, clef: str, number: int | None) -> None:
    shape, line, octaves = clef_place(clef)
    holder = etree.SubElement(element, "clef")
    if number is not None:
        holder.set("number", str(number))
    etree.SubElement(holder, "sign").text = shape
    etree.SubElement(holder, "line").text = str(line)
    if octaves:
        etree.SubElement(holder, "clef-octave-change").text = str(octaves)


def words(text: str, staff: int) -> etree._Element:
    """A direction with text over the staff."""
    direction = etree.Element("direction", placement="above")
    kind = etree.SubElement(direction, "direction-type")
    etree.SubElement(kind, "words").text = text
    etree.SubElement(direction, "staff").text = str(staff)
    return direction


def tempo(quarter_bpm: float) -> etree._Element:
    """A tempo that is played and not printed."""
    return etree.Element("sound", tempo=f"{quarter_bpm:.10g}")
