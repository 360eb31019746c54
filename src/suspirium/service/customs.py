"""Customs that should hold through one service: the gap, the introduction, the ending."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from suspirium.plan.pulse import counted_beat_q
from suspirium.service.relations import pulse_bpm
from suspirium.service.served import Served
from suspirium.tables import load


def broken_customs(hymns: Sequence[Served]) -> tuple[str, ...]:
    """What differs between the hymns of a service where people would expect the same, each as
    a sentence with what could be done."""
    checks = (_gaps, _introductions, _lengths, _endings, _tempi)
    return tuple(said for check in checks for said in check(hymns))


def _gaps(hymns: Sequence[Served]) -> Iterator[str]:
    """Silences between stanzas: people learn one gap, and enter by it."""
    gaps = [(hymn.plan.gap.value.silence_s, hymn) for hymn in hymns if len(hymn.stanzas) > 1]
    if len(gaps) < 2:
        return
    (short_s, short), (long_s, long) = min(gaps, key=_first), max(gaps, key=_first)
    if long_s - short_s > load("service").number("gap.spread_s"):
        beat_q = counted_beat_q(long.plan.hymn)
        beat_s = float(beat_q) * 60.0 / long.plan.tempo.value.quarter_bpm
        yield (
            f"The silence between stanzas is {short_s:.1f} s in {short.title} but {long_s:.1f} s "
            f"in {long.title}: people learn one gap; a count there is {beat_s:.1f} s."
        )


def _first(pair: tuple[float, Served]) -> float:
    return pair[0]


def _introductions(hymns: Sequence[Served]) -> Iterator[str]:
    without = [hymn.title for hymn in hymns if hymn.introduction is None]
    if without and len(without) < len(hymns):
        yield (
            f"No introduction before {_and(without)}, but before the others: tell people, or "
            "play one."
        )


def _lengths(hymns: Sequence[Served]) -> Iterator[str]:
    found = [(hymn.introduction.seconds, hymn) for hymn in hymns if hymn.introduction]
    if len(found) < 2:
        return
    (short_s, short), (long_s, long) = min(found, key=_first), max(found, key=_first)
    if long_s > load("service").number("introduction.spread") * short_s:
        yield (
            f"The introduction to {long.title} lasts {long_s:.0f} s, that to {short.title} "
            f"{short_s:.0f} s: people wait for the end of a line; choose others if they miss it."
        )


def _endings(hymns: Sequence[Served]) -> Iterator[str]:
    for what, having in (
        ("an amen", [hymn for hymn in hymns if hymn.amen]),
        ("a broad last line", [hymn for hymn in hymns if hymn.plan.ending.value.broaden]),
    ):
        if having and len(having) < len(hymns):
            yield f"Only {_and([hymn.title for hymn in having])} has {what}: let people know."


def _tempi(hymns: Sequence[Served]) -> Iterator[str]:
    """The same tune twice: people remember its tempo."""
    for place, one in enumerate(hymns):
        for other in hymns[place + 1 :]:
            tune = one.plan.hymn.tune.strip().casefold()
            if not tune or tune != other.plan.hymn.tune.strip().casefold():
                continue
            ratio = pulse_bpm(other.plan) / pulse_bpm(one.plan)
            if abs(ratio - 1) > load("service").number("pulse.same"):
                yield (
                    f"{one.title} and {other.title} have one tune, but pulses of "
                    f"{pulse_bpm(one.plan):.0f} and {pulse_bpm(other.plan):.0f}: take one."
                )


def _and(names: Sequence[str]) -> str:
    return " and ".join(names) if len(names) < 3 else f"{', '.join(names[:-1])} and {names[-1]}"
