"""The texts of the pages in blocks: measured, in columns, ready to stand below the music."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from suspirium.plan.model import LeadingPlan
from suspirium.render import texts
from suspirium.render.layout import AREA, WIDTH_MM, Block, columns
from suspirium.render.reasons import Reason
from suspirium.render.typeset import Item, measure_mm
from suspirium.tables import load

_GUTTER_MM = 5.0
_RULE_Y_MM, _BELOW_RULE_MM = 2.2, 3.7  # the rule over a section, and where its text begins
_APART_MM = {"stanzas": 5.5, "reasons": 2.0}  # from one text to the next
_STANZA_COLUMNS = 2
_SECTION_MM = 135.0  # about half a page: higher sections are parted


@dataclass(frozen=True, slots=True)
class Texts:
    """The measured texts: blocks around the music and the items that fill them."""

    heading: Block
    tail: tuple[Block, ...]
    items: dict[tuple[str, int], list[Item]] = field(default_factory=dict)


def measured_texts(
    plan: LeadingPlan, underlaid: tuple[int, ...], further_reasons: Sequence[Reason] = ()
) -> Texts:
    """Everything on the pages but the systems; items placed within their block."""
    credit_lines = texts.credit_lines(plan)
    full = [texts.heading(plan), texts.gap(plan)]
    if credit_lines:
        full.append({"kind": "credits", "lines": credit_lines})
    full = [{**item, "width": WIDTH_MM, "x": 0.0, "y": 0.0} for item in full]
    number = load("page")["reasons.columns"]
    further = _in_columns(texts.stanzas(plan, underlaid), _STANZA_COLUMNS)
    reasons = _in_columns(texts.reasons(plan, further_reasons), number)
    heights = measure_mm([*full, *further, *reasons])
    found = Texts(Block("heading", heights[0]), (), {("heading", 0): [full[0]]})
    found.items["gap", 0] = [full[1]]
    tail = [Block("gap", heights[1])]
    at = len(full)
    for kind, items, count in (
        ("stanzas", further, _STANZA_COLUMNS),
        ("reasons", reasons, number),
    ):
        tail.extend(_sections(found, kind, items, heights[at : at + len(items)], count))
        at += len(items)
    if credit_lines:
        found.items["credits", 0] = [full[2]]
        tail.append(Block("credits", heights[2]))
    return Texts(found.heading, tuple(tail), found.items)


def _in_columns(items: Sequence[dict[str, Any]], number: int) -> list[dict[str, Any]]:
    width = (WIDTH_MM - _GUTTER_MM * (number - 1)) / number
    return [{**item, "width": width} for item in items]


def _sections(
    found: Texts, kind: Any, items: Sequence[dict[str, Any]], heights: Sequence[float], number: int
) -> Iterator[Block]:
    """Items in columns under a rule; very many in sections that pages can part."""
    apart = _APART_MM[kind]
    spaced = [height + apart for height in heights]
    limit = min(_SECTION_MM, AREA.several_mm) - _BELOW_RULE_MM
    for index, section in enumerate(columns(spaced, number, limit)):
        rule = {"kind": "rule", "width": WIDTH_MM, "x": 0.0, "y": _RULE_Y_MM}
        placed: list[Item] = [] if index else [rule]
        lowest = 0.0
        for column, members in enumerate(section):
            y = _BELOW_RULE_MM
            for member in members:
                item = items[member]
                placed.append({**item, "x": column * (item["width"] + _GUTTER_MM), "y": y})
                y += spaced[member]
            lowest = max(lowest, y - apart)
        found.items[kind, index] = placed
        yield Block(kind, lowest, index)
