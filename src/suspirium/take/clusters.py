"""Keys that go down together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from suspirium.take.model import TakeNote


@dataclass(frozen=True, slots=True)
class Cluster:
    """Indices of the take's notes that begin together, and when the first of them does."""

    notes: tuple[int, ...]
    onset_s: float


def clusters(notes: Sequence[TakeNote], chain_s: float) -> tuple[Cluster, ...]:
    """Notes in order of onset, cut wherever the next comes more than `chain_s` later."""
    found: list[Cluster] = []
    group: list[int] = []
    for index, note in enumerate(notes):
        if group and note.onset_s - notes[group[-1]].onset_s > chain_s:
            found.append(Cluster(tuple(group), notes[group[0]].onset_s))
            group = []
        group.append(index)
    if group:
        found.append(Cluster(tuple(group), notes[group[0]].onset_s))
    return tuple(found)
