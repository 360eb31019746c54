"""Why a line ends where it does, in the order of what weighed most."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from suspirium.plan.phrases.model import Evidence
from suspirium.plan.phrases.music import Columns

FEW = 3  # pieces of evidence given at most


@dataclass(frozen=True, slots=True)
class _Fact:
    """A fact that speaks for an end: its key, when it holds, the columns that weigh it."""

    key: str
    holds: Callable[[Mapping[str, float]], bool]
    columns: tuple[str, ...]


def _at_least(column: str, least: float) -> Callable[[Mapping[str, float]], bool]:
    return lambda at: at.get(column, 0.0) >= least


_FACTS = (
    _Fact("fermata", _at_least("fermata", 1), ("fermata",)),
    _Fact("breath-mark", _at_least("breath", 1), ("breath",)),
    _Fact("double-bar", _at_least("sign", 1), ("sign",)),
    _Fact("barline", _at_least("bar_free_line", 1), ("bar_free_line",)),
    _Fact("rest", _at_least("rest", 1), ("rest", "rest_len", "gap_all")),
    _Fact(
        "long-note",
        lambda at: at["len_before"] > 0.4 and at["len_usual"] > 0.4,
        (
            "len_usual",
            "len_long",
            "len_half",
            "len_before",
            "len_after",
            "len_rank",
            "len_peak3",
            "len_peak6",
            "unit_usual",
            "rest",
            "rest_len",
        ),
    ),
    _Fact("full-stop", _at_least("stop", 0.5), ("stop", "stop_any", "mark", "mark_all")),
    _Fact("semicolon", _at_least("semi", 0.5), ("semi", "mark", "mark_all")),
    _Fact("comma", _at_least("comma", 0.5), ("comma", "mark", "mark_all")),
    _Fact(
        "punctuation",
        lambda at: at.get("mark", 0.0) >= 0.5 and max(at["stop"], at["semi"], at["comma"]) < 0.5,
        ("comma", "semi", "stop", "dash", "mark", "mark_all"),
    ),
    _Fact(
        "capital",
        _at_least("upper_plain", 0.5),
        ("upper", "upper_plain", "upper_opener", "upper_all", "upper_unmarked"),
    ),
    _Fact(
        "cadence",
        lambda at: at["bass_fifth"] > 0 and at["end_triad"] > 0,
        ("bass_fifth", "triad", "end_triad", "triad_tonic", "triad_dominant", "degree_1"),
    ),
    _Fact(
        "root-chord",
        lambda at: at["end_triad"] > 0 and at["bass_fifth"] == 0,
        ("triad", "end_triad", "triad_tonic", "triad_dominant", "triad_other"),
    ),
    _Fact("still", _at_least("still_long", 1), ("still", "still_long", "moving")),
    _Fact("opening-tune", _at_least("opening_tune", 0.4), ("opening_tune", "opening_rhythm")),
    _Fact(
        "opening-rhythm",
        lambda at: at["opening_rhythm"] >= 0.5 and at["opening_tune"] < 0.4,
        ("opening_rhythm",),
    ),
    _Fact("bar-place", _at_least("bar_opening", 1), ("bar_opening", "bars2", "bars4", "popular")),
    _Fact("half", _at_least("half", 1), ("half",)),
)


def boundary_evidence(
    columns: Columns, weights: Mapping[str, float], boundary: int
) -> list[tuple[float, Evidence]]:
    """What speaks for an end at a boundary, each with its log-odds against the average."""
    place = boundary - 1
    at = {name: column[place] for name, column in columns.items()}
    found = []
    for fact in _FACTS:
        if fact.holds(at):
            gain = sum(
                weights.get(name, 0.0) * (at[name] - sum(columns[name]) / len(columns[name]))
                for name in fact.columns
                if name in at
            )
            found.append((gain, Evidence(fact.key)))
    return found


def strongest(found: Sequence[tuple[float, Evidence]]) -> tuple[Evidence, ...]:
    """The few that weigh most, strongest first."""
    ranked = sorted(found, key=lambda pair: -pair[0])
    return tuple(evidence for _, evidence in ranked[:FEW])
