"""An order of service as text: new ones, and moments to add at the end."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import tomli_w

from suspirium.service.order.model import HymnMoment, Moment, Order


def order_text(order: Order) -> str:
    """The whole order as TOML; what is as usual is left out."""
    values = _unusual(order, Order(""))
    names = {"on": "date"}
    head = {names.get(name, name): value for name, value in values.items() if name != "moments"}
    return tomli_w.dumps(head) + "".join(moment_text(moment) for moment in order.moments)


def moment_text(moment: HymnMoment | Moment) -> str:
    """One moment, to be put after what is there."""
    usual = HymnMoment("") if isinstance(moment, HymnMoment) else Moment("")
    values = _unusual(moment, usual)
    characters = values.pop("characters", None)
    text = f"\n[[moments]]\n{tomli_w.dumps(values)}"
    return text + (f"[moments.characters]\n{tomli_w.dumps(characters)}" if characters else "")


def _unusual(one: Any, usual: Any) -> dict[str, Any]:
    found = {field.name: getattr(one, field.name) for field in fields(one)}
    return {name: _plain(value) for name, value in found.items() if value != getattr(usual, name)}


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): one for key, one in value.items()}
    return list(value) if isinstance(value, tuple) else value
