"""Ways of singing a word: how many syllables it may have, and what each way costs."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import product

from suspirium.tables import load
from suspirium.verse.english import english
from suspirium.verse.foreign import foreign
from suspirium.verse.words import compound

_RANKS = ("", "cost.second", "cost.third")
_POSSESSIVE = "'s"


@dataclass(frozen=True, slots=True)
class Reading:
    """A number of syllables; `cost` is 0 for the usual one (log-odds against it)."""

    syllables: int
    cost: float


@lru_cache(maxsize=8192)
def readings(word: str, language: str = "en") -> tuple[Reading, ...]:
    """The ways of singing a word (as `suspirium.verse.words` gives it), the usual one first.

    Costs are those of ``tables/syllables.toml``.
    """
    found: dict[int, float] = {}
    for ways in product(*(_of_part(part, language) for part in compound(word))):
        count = sum(way.syllables for way in ways)
        cost = sum(way.cost for way in ways)
        found[count] = min(cost, found.get(count, cost))
    ordered = sorted(found.items(), key=lambda item: (item[1], item[0]))
    return tuple(Reading(count, cost) for count, cost in ordered)


def usual(word: str, language: str = "en") -> int:
    """How many syllables a word usually has."""
    return readings(word, language)[0].syllables


def line_count(words: tuple[str, ...], language: str = "en") -> int:
    """The usual number of syllables of a line."""
    return sum(usual(word, language) for word in words)


def line_readings(
    words: tuple[str, ...], syllables: int, language: str = "en"
) -> tuple[int, ...] | None:
    """The likeliest syllables of each word that make up a line of so many; None if none do."""
    best: dict[int, tuple[float, tuple[int, ...]]] = {0: (0.0, ())}
    for word in words:
        after: dict[int, tuple[float, tuple[int, ...]]] = {}
        for sum_so_far, (cost, counts) in best.items():
            for way in readings(word, language):
                total = sum_so_far + way.syllables
                one = (cost + way.cost, (*counts, way.syllables))
                if total <= syllables:
                    after[total] = min(one, after.get(total, one))
        best = after
    return best[syllables][1] if syllables in best else None


def _of_part(part: str, language: str) -> list[Reading]:
    table = load("syllables")
    listed = _listed(part, table[f"{language}.counts"])
    if listed:
        costs = [table.number(row) if row else 0.0 for row in _RANKS]
        return [Reading(count, cost) for count, cost in zip(listed, costs, strict=False)]
    count, others = english(part) if language == "en" else foreign(part, language)
    return [Reading(count, 0.0)] + [
        Reading(other, table.number(f"cost.{kind}")) for other, kind in others if other > 0
    ]


def _listed(part: str, counts: dict[str, tuple[int, ...]]) -> tuple[int, ...] | None:
    found = counts.get(part)
    if found is None and part.endswith(_POSSESSIVE) and part[-3:-2] not in "sxz":
        found = counts.get(part.removesuffix(_POSSESSIVE))
    return found
