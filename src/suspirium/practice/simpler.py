"""The accurate simple thing, where the week is too short for a hymn as it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from suspirium.practice.known import at_sight
from suspirium.practice.model import Expected, Instead, PracticeHymn, Simpler, Way
from suspirium.practice.settings import Learning
from suspirium.tables import load


def weak(expected: Sequence[Expected]) -> tuple[int, ...]:
    """The hymns that will not be ready for the service."""
    secure = load("practice").number("ready.secure")
    return tuple(h for h, one in enumerate(expected) if one.ready < secure)


def with_hands_alone(hymn: PracticeHymn, way: Way, how: Learning) -> PracticeHymn:
    """The hymn for hands alone: the left hand takes on what the pedal played, or the bass only."""
    passages = tuple(passage.played(way) for passage in hymn.passages)
    pairs = zip(passages, hymn.known, strict=True)
    known = tuple(at_sight(passage, way, how, own) for passage, own in pairs)
    return replace(hymn, passages=passages, known=known, way=way)


def simpler_ways(
    hymns: Sequence[PracticeHymn],
    expected: Sequence[Expected],
    others: Mapping[Way, Sequence[Expected]],
    instead: Sequence[Instead] = (),
) -> tuple[Simpler, ...]:
    """What would be readier for each weak hymn, best first; nothing that is no gain.

    `others` is what the week brings where all weak hymns are played by hands alone in that
    way.
    """
    found: list[Simpler] = []
    for h in weak(expected):
        own = [*_ways(h, others), *_fewer_stanzas(h, hymns[h], expected[h], others)]
        own += [Simpler(h, f"{one.title} instead", one.ready, _SURE) for one in instead]
        better = [one for one in own if one.ready > expected[h].ready + _told_apart()]
        found += sorted(better, key=lambda one: -one.ready)
    return tuple(found)


def _told_apart() -> float:
    return load("practice").number("ready.floor")


_SURE = "it is secure already, and its minutes go to the other hymns"
_REASONS: Mapping[Way, tuple[str, str]] = {
    "manuals": (
        "manuals only",
        "the bass goes to the left hand, and there is one player less to put together",
    ),
    "tune and bass": (
        "tune and bass",
        "two voices played accurately lead better than four with faults",
    ),
}


def _ways(h: int, others: Mapping[Way, Sequence[Expected]]) -> Iterator[Simpler]:
    for way, expected in others.items():
        what, reason = _REASONS[way]
        yield Simpler(h, what, expected[h].ready, reason)


def _fewer_stanzas(
    h: int,
    hymn: PracticeHymn,
    expected: Expected,
    others: Mapping[Way, Sequence[Expected]],
) -> Iterator[Simpler]:
    """Pedal in the last stanza only: the hands lead the others, which are practised first.

    The pedal stanza is then as ready as without a week of its own.
    """
    if hymn.way != "all" or hymn.stanzas < 2 or "manuals" not in others:
        return
    share = 1 / hymn.stanzas
    ready = expected.without**share * others["manuals"][h].ready ** (1 - share)
    yield Simpler(
        h,
        "pedal in the last stanza only",
        ready,
        "hands alone lead the other stanzas, and the pedal joins where the people know the tune",
    )
