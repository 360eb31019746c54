"""Readiness of a hymn from that of its passages."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

from suspirium.practice.model import PracticeHymn
from suspirium.practice.settings import Learning


def of_hymn(hymn: PracticeHymn, passages: Sequence[float], how: Learning) -> float:
    """The geometric mean of the passages' readiness, weighed by their length in seconds."""
    seconds = sum(passage.seconds for passage in hymn.passages)
    return exp(
        sum(
            passage.seconds / seconds * log(max(ready, how.floor))
            for passage, ready in zip(hymn.passages, passages, strict=True)
        )
    )


def of_week(hymns: Sequence[float], how: Learning) -> float:
    """The geometric mean over the hymns."""
    return exp(sum(log(max(ready, how.floor)) for ready in hymns) / len(hymns)) if hymns else 1.0
