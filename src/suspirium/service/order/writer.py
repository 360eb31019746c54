"""An order of service as text: new ones, and moments to add at the end."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields
from typing import Any

from suspirium.service.order.model import HymnMoment, Moment, Order


def order_text(order: Order) -> str:
    """The whole order as TOML; what is as usual is left out."""
    head = "".join(f"{line}\n" for line in _head(order))
    return head + "".join(moment_text(moment) for moment in order.moments)


def moment_text(moment: HymnMoment | Moment) -> str:
    """One moment, to be put after what is there."""
    lines = ["", "[[moments]]", *_entries(moment)]
    return "\n".join(lines) + "\n"


def _head(order: Order) -> Iterator[str]:
    yield f"name = {_value(order.name)}"
    if order.on:
        yield f"date = {order.on.isoformat()}"
    if order.begins:
        yield f"begins = {order.begins.isoformat()}"
    for name in ("room", "singers", "organ", "people", "early"):
        value = getattr(order, name)
        usual = next(one.default for one in fields(order) if one.name == name)
        if value != usual:
            yield f"{name} = {_value(value)}"


def _entries(moment: HymnMoment | Moment) -> Iterator[str]:
    usual = HymnMoment("") if isinstance(moment, HymnMoment) else Moment("")
    for one in fields(moment):
        value = getattr(moment, one.name)
        if value != getattr(usual, one.name):
            yield f"{one.name} = {_value(value)}"


def _value(value: Any) -> str:
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)  # TOML's basic strings are JSON's
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_value(one)}" for key, one in value.items()) + " }"
    if isinstance(value, tuple):
        return "[" + ", ".join(_value(one) for one in value) + "]"
    return f"{value:g}" if isinstance(value, float) else str(value)
