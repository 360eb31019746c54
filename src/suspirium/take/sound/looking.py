"""How narrow bands are looked at, and foretold look by look."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np

from suspirium.tables import load
from suspirium.take.sound.bands import RATE
from suspirium.take.sound.partials import Vectors


@dataclass(frozen=True, slots=True)
class Looking:
    """Looks through windows of `window_s` seconds, `step` samples apart; each is foretold from
    `order` looks before, `lag` looks from one of those to the next. `ridge` is added to the
    power of what a predictor learns from, as a share of it."""

    window_s: float
    step: int
    lag: int
    order: int
    ridge: float

    @classmethod
    def at_releases(cls) -> Self:
        """How a held chord is looked at."""
        return cls._of("look_s", "look_step_s", "lag_s")

    @classmethod
    def at_onsets(cls) -> Self:
        """How the beginning of a chord is looked at."""
        return cls._of("onset_window_s", "onset_step_s", "onset_lag_s")

    @classmethod
    def _of(cls, *names: str) -> Self:
        table = load("take")
        window_s, step_s, lag_s = (table.number(f"sound.{name}") for name in names)
        step = round(step_s * RATE)
        lag, order = max(1, round(lag_s * RATE / step)), int(table["sound.order"])
        return cls(window_s, step, lag, order, table.number("sound.ridge"))

    @property
    def step_s(self) -> float:
        """Seconds from one look to the next."""
        return self.step / RATE

    @property
    def lag_s(self) -> float:
        """Seconds between two looks that a predictor asks."""
        return self.lag * self.step_s

    @property
    def used(self) -> int:
        """Looks before the first one that can be foretold."""
        return self.order * self.lag

    def history(self, looks: Vectors) -> tuple[Vectors, Vectors]:
        """What a predictor looks back on, (looks, order, bands), and what it should foretell."""
        past = np.stack(
            [
                looks[self.used - back * self.lag : len(looks) - back * self.lag]
                for back in range(1, self.order + 1)
            ],
            axis=1,
        )
        return past, looks[self.used :]

    def weights(self, learning: Sequence[tuple[Vectors, Vectors]]) -> Vectors:
        """The predictor of each band, (bands, order): least squares with a ridge."""
        past = np.concatenate([past for past, _ in learning])
        now = np.concatenate([now for _, now in learning])
        square = np.einsum("njb,nkb->bjk", past.conj(), past)
        product = np.einsum("njb,nb->bj", past.conj(), now)
        usual = np.trace(square, axis1=1, axis2=2).real / self.order
        ridge = (self.ridge * usual + 1e-12)[:, None, None] * np.eye(self.order)
        solved = np.linalg.solve(square + ridge, product[..., None])
        return np.asarray(solved[..., 0])
