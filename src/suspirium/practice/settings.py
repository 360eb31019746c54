"""The numbers of the model, from ``tables/practice.toml``, with the player's own pace."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from suspirium.errors import PracticeError
from suspirium.tables import load

_ROWS = {
    "rate": "learn.rate",
    "day_share": "learn.day_share",
    "demand": "learn.demand",
    "least_demand": "learn.least_demand",
    "together": "learn.together",
    "blocked": "learn.blocked",
    "night_gain": "night.gain",
    "alike_gain": "night.alike_gain",
    "settled_days": "keep.settled_days",
    "hands": "transfer.hands",
    "pedal": "transfer.pedal",
    "tune": "transfer.tune",
    "easy": "order.easy",
    "tempo_first": "tempo.first",
    "tempo_step": "tempo.step",
    "between_s": "time.between_s",
    "floor": "ready.floor",
}
_WIDEST = 4.0  # times the table's value, or that part of it


@dataclass(frozen=True, slots=True)
class Learning:
    """How this player learns; every field is a row of the table but `pace`, which takes move.

    Rates count repetitions, half-lives days, tempos shares of the goal tempo.
    """

    pace: float
    rate: float
    day_share: float
    demand: float
    least_demand: float
    together: float
    blocked: float
    night_gain: float
    alike_gain: float
    first_days: tuple[float, ...]
    settled_days: float
    hands: float
    pedal: float
    tune: float
    easy: float
    tempo_first: float
    tempo_step: float
    between_s: float
    step_min: int
    visit_steps: int
    floor: float
    sight: float

    @property
    def visit_min(self) -> int:
        """Minutes of one visit to a passage."""
        return self.step_min * self.visit_steps


@cache
def learning(level: str = "fluent", pace: float = 1.0) -> Learning:
    """The table's numbers for a player of this level, `pace` times as quick."""
    table = load("practice")
    return Learning(
        pace=pace * float(table["learn.level"][level]),
        first_days=tuple(float(days) for days in table["keep.first_days"]),
        step_min=int(table["time.step_min"]),
        visit_steps=int(table["time.visit_steps"]),
        sight=float(table["known.sight"][level]),
        **{name: table.number(row) for name, row in _ROWS.items()},
    )


def sliders() -> dict[str, float]:
    """The numbers that nobody measured, with the table's value: the player may move them."""
    table = load("practice")
    rows = {name: table.rows[row] for name, row in _ROWS.items()}
    return {name: float(row.value) for name, row in rows.items() if row.kind == "invented"}


def slider_ranges() -> dict[str, tuple[float, float]]:
    """The least and the greatest value that each slider takes."""
    return {name: (value / _WIDEST, value * _WIDEST) for name, value in sliders().items()}


def moved(how: Learning, own: Mapping[str, float]) -> Learning:
    """`how` with the player's own values; `PracticeError` for a name that is no slider, or a
    value more than four times away from the table's."""
    known = slider_ranges()
    for name, value in own.items():
        if name not in known:
            raise PracticeError(f"{name!r} can't be moved; what can: {', '.join(sorted(known))}")
        low, high = known[name]
        if not low <= value <= high:
            raise PracticeError(f"{name} goes from {low:g} to {high:g}, not to {value:g}")
    values: Mapping[str, Any] = own
    return replace(how, **values)
