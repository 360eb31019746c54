"""The stress foot of a text: iambic, trochaic, dactylic, anapaestic or mixed.

Each line is read in every foot, as the sum of the log-likelihoods of its syllables in strong
and weak places; the poem's foot is the one that reads all its lines best.
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from math import exp, log1p

from suspirium.tables import load
from suspirium.verse.stress import known_stress, stresses

Word = tuple[str, int]  # letters and apostrophes in small letters, and its sung syllables
Line = Sequence[Word]

# Length of a foot, and the places in it where its stress may stand: anapaestic lines often
# begin a syllable short.
FEET: Mapping[str, tuple[int, tuple[int, ...]]] = {
    "iambic": (2, (1,)),
    "trochaic": (2, (0,)),
    "dactylic": (3, (0,)),
    "anapaestic": (3, (2, 1)),
}
MIXED = "mixed"


@dataclass(frozen=True, slots=True)
class Foot:
    """The foot's name and the probability that it is the one, 0 to 1."""

    name: str
    confidence: float


def foot(stanzas: Sequence[Sequence[Line]], language: str = "en") -> Foot | None:
    """The foot of a poem; None without words, or where the language's stress is not known.

    Lines in the same place of their stanzas are taken to be in the same foot.
    """
    lines = [(place, line) for stanza in stanzas for place, line in enumerate(stanza) if line]
    if not lines or not known_stress(language):
        return None
    read = [(place, line_scores(line, language)) for place, line in lines]
    places: dict[int, dict[str, float]] = {}
    for place, scores in read:
        total = places.setdefault(place, dict.fromkeys(FEET, 0.0))
        for name in FEET:
            total[name] += scores[name]
    table = load("stress")
    totals = {name: sum(scores[name] for scores in places.values()) for name in FEET}
    totals[MIXED] = sum(max(scores.values()) for scores in places.values())
    evidence = table.number("foot.evidence")
    weighed = {name: evidence * total for name, total in totals.items()}
    weighed[MIXED] += table.number("foot.mixed") * len(places)
    best = max(weighed, key=lambda name: weighed[name])
    return Foot(best, 1 / sum(exp(value - weighed[best]) for value in weighed.values()))


def line_scores(line: Line, language: str = "en") -> dict[str, float]:
    """Log-likelihood of a line in each foot."""
    table = load("stress")
    odds = [odd for word, count in line for odd in stresses(word, count, language)]
    found = {
        name: max(_read(odds, range(at, len(odds), length)) for at in starts)
        for name, (length, starts) in FEET.items()
    }
    turned = _read(odds, {0, *range(3, len(odds), 2)})
    found["iambic"] = max(found["iambic"], turned + table.number("foot.inverted"))
    for name in ("dactylic", "anapaestic"):
        found[name] += table.number("foot.triple")
    return found


def _read(odds: Sequence[float], strong: Container[int]) -> float:
    return -sum(log1p(exp(-odd if at in strong else odd)) for at, odd in enumerate(odds))
