"""What the week traded, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from suspirium.practice.model import Expected, PracticeHymn
from suspirium.practice.readiness import Ints
from suspirium.practice.rules import Frame, new_and_alike
from suspirium.practice.settings import Learning
from suspirium.practice.sitting import Visit
from suspirium.tables import load


def traded(
    hymns: Sequence[PracticeHymn],
    visits: Sequence[Visit],
    counts: Ints,
    expected: Sequence[Expected],
    week: Frame,
    how: Learning,
) -> tuple[str, ...]:
    """Minutes by hymn and why, what could not be kept, what is left over."""
    minutes = [
        how.visit_min * sum(int(counts[i].sum()) for i, v in enumerate(visits) if v[0] == h)
        for h in range(len(hymns))
    ]
    return (
        *_most(hymns, minutes, expected),
        *_short(hymns, expected),
        *_crowded(hymns, week),
        *_evenings(hymns, visits, counts),
        *_spare(counts, week, how),
    )


def _most(
    hymns: Sequence[PracticeHymn], minutes: Sequence[int], expected: Sequence[Expected]
) -> Iterator[str]:
    if not any(minutes):
        yield "There are no minutes to practise in before the service."
        return
    order = sorted(range(len(hymns)), key=lambda h: (-minutes[h], h))
    first, last = order[0], order[-1]
    if minutes[first] > minutes[last]:
        yield (
            f"{hymns[first].title} has the most time ({minutes[first]} minutes), "
            f"{hymns[last].title} the least ({minutes[last]}): a minute brings more there, "
            "and the hymns are weighed alike."
        )
    for h in order:
        if not minutes[h]:
            yield (
                f"{hymns[h].title} is not practised: it keeps {expected[h].without:.0%} as it is, "
                "and the minutes bring more elsewhere."
            )


def _short(hymns: Sequence[PracticeHymn], expected: Sequence[Expected]) -> Iterator[str]:
    secure = load("practice").number("ready.secure")
    weak = [hymns[h].title for h, one in enumerate(expected) if one.ready < secure]
    if weak:
        yield f"The week is too short for {_listed(weak)} as planned: see what is simpler."


def _crowded(hymns: Sequence[PracticeHymn], week: Frame) -> Iterator[str]:
    new = sum(hymn.new for hymn in hymns)
    if week.days and new > sum(week.room[: week.early]):
        yield "Not every new hymn can begin early: there are too few minutes in the first days."


def _evenings(
    hymns: Sequence[PracticeHymn], visits: Sequence[Visit], counts: Ints
) -> Iterator[str]:
    begins = {
        h: min(days)
        for h in range(len(hymns))
        if (days := [d for i, v in enumerate(visits) if v[0] == h for d in counts[i].nonzero()[0]])
    }
    pairs = [pair for pair in new_and_alike(hymns) if set(pair) <= set(begins)]
    together = {h for a, b in pairs if begins[a] == begins[b] for h in (a, b)}
    apart = {h for pair in pairs for h in pair} - together
    if apart:
        names = _listed([hymns[h].title for h in sorted(apart)])
        yield f"{names} are new and have tunes alike: such hymns begin on different evenings."
    if together:
        names = _listed([hymns[h].title for h in sorted(together)])
        yield (
            f"{names} are new and have tunes alike, yet begin on one evening: there are too few "
            "evenings to part them."
        )


def _spare(counts: Ints, week: Frame, how: Learning) -> Iterator[str]:
    free = (
        sum(room - int(counts[:, day].sum()) for day, room in enumerate(week.room)) * how.visit_min
    )
    if free >= how.visit_min:
        yield (
            f"{free} minutes are free: more of the same passages in one evening would bring "
            "little, play something else or rest."
        )


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
