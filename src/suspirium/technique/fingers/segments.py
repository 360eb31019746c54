"""Manual keys cut at every onset: which keys are down together, and for how long."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from suspirium.technique.share import Key


@dataclass(frozen=True, slots=True)
class Segment:
    """From one onset to the next.

    `keys` are indices of the keys that are down as it begins, ascending in pitch; `new`
    says which of them are struck here, `lasting` which are held to its end. `length_s`
    is the time to the next onset, at the end to the last release.
    """

    onset_q: Fraction
    onset_s: float
    length_s: float
    keys: tuple[int, ...]
    new: tuple[bool, ...]
    lasting: tuple[bool, ...]


def segments_of(keys: Sequence[Key]) -> tuple[Segment, ...]:
    """The segments of `keys`, which are in order of onset."""
    onsets = sorted({key.onset_q: key.onset_s for key in keys}.items())
    ends = [*onsets[1:], _end(keys)] if onsets else []
    found = []
    down: list[int] = []
    waiting = 0
    for (onset_q, onset_s), (end_q, end_s) in zip(onsets, ends, strict=True):
        down = [index for index in down if keys[index].release_q > onset_q]
        while waiting < len(keys) and keys[waiting].onset_q == onset_q:
            down.append(waiting)
            waiting += 1
        down.sort(key=lambda index: keys[index].midi)
        found.append(
            Segment(
                onset_q=onset_q,
                onset_s=onset_s,
                length_s=end_s - onset_s,
                keys=tuple(down),
                new=tuple(keys[index].onset_q == onset_q for index in down),
                lasting=tuple(keys[index].release_q >= end_q for index in down),
            )
        )
    return tuple(found)


def _end(keys: Sequence[Key]) -> tuple[Fraction, float]:
    last = max(keys, key=lambda key: key.release_q)
    return last.release_q, last.release_s
