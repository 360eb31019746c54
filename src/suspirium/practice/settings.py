"""The numbers of the model, from ``tables/practice.toml``, with the player's own pace."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from suspirium.tables import load


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
        rate=table.number("learn.rate"),
        day_share=table.number("learn.day_share"),
        demand=table.number("learn.demand"),
        least_demand=table.number("learn.least_demand"),
        together=table.number("learn.together"),
        blocked=table.number("learn.blocked"),
        night_gain=table.number("night.gain"),
        alike_gain=table.number("night.alike_gain"),
        first_days=tuple(float(days) for days in table["keep.first_days"]),
        settled_days=table.number("keep.settled_days"),
        hands=table.number("transfer.hands"),
        pedal=table.number("transfer.pedal"),
        tune=table.number("transfer.tune"),
        easy=table.number("order.easy"),
        tempo_first=table.number("tempo.first"),
        tempo_step=table.number("tempo.step"),
        between_s=table.number("time.between_s"),
        step_min=int(table["time.step_min"]),
        visit_steps=int(table["time.visit_steps"]),
        floor=table.number("ready.floor"),
        sight=float(table["known.sight"][level]),
    )
