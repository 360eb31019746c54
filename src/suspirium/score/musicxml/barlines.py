"""Measures as MusicXML elements with their barlines, repeats and endings."""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from suspirium.score.model import Measure

_STYLES = {"double": "light-light", "final": "light-heavy", "dotted": "dotted", "none": "none"}


def opened(measures: Sequence[Measure], index: int) -> etree._Element:
    """A measure element with its number and its left barline."""
    measure = measures[index]
    element = etree.Element("measure", number=str(measure.number))
    if measure.continues or (index == 0 and measure.number == 0):
        element.set("implicit", "yes")
    begins = measure.endings and (index == 0 or measures[index - 1].endings != measure.endings)
    if begins or measure.repeat_start:
        barline = etree.SubElement(element, "barline", location="left")
        if measure.repeat_start:
            etree.SubElement(barline, "bar-style").text = "heavy-light"
        if begins:
            _add_ending(barline, measure.endings, "start")
        if measure.repeat_start:
            etree.SubElement(barline, "repeat", direction="forward")
    return element


def close(element: etree._Element, measures: Sequence[Measure], index: int) -> None:
    """Add the right barline."""
    measure = measures[index]
    after = measures[index + 1] if index + 1 < len(measures) else None
    style = "final" if measure.repeat_end else measure.right
    if after is not None and after.repeat_start and style == "double":
        style = "single"  # the next measure's repeat sign stands there
    ends = measure.endings and (after is None or after.endings != measure.endings)
    if style not in _STYLES and not ends:
        return
    barline = etree.SubElement(element, "barline", location="right")
    if style in _STYLES:
        etree.SubElement(barline, "bar-style").text = _STYLES[style]
    if ends:
        _add_ending(barline, measure.endings, "stop" if measure.repeat_end else "discontinue")
    if measure.repeat_end:
        etree.SubElement(barline, "repeat", direction="backward")


def _add_ending(barline: etree._Element, passes: Sequence[int], kind: str) -> None:
    number = ", ".join(str(turn) for turn in passes)
    etree.SubElement(barline, "ending", number=number, type=kind)
