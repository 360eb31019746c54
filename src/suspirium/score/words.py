"""The words as they are sung: refrains shared, stanzas with their stretch of the score.

Two things a page can mean by words under notes are told apart by who sings where (what a
repeat means for the words is in `suspirium.score.turns`):

- a **refrain** is printed once and sung in every stanza: few stanzas carry it, and those
  sing elsewhere together with the others;
- stanzas that share no stretch at all (odd ones under the first strain, even ones under
  the second) are sung **in turn**: each has its own stretch of the score.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from suspirium.score.model import Hymn, Span, Stanza, Syllable

SHORTEST_REFRAIN = 3  # syllables; less is a slip of the pen

Singers = list[tuple[Fraction, frozenset[int]]]


def sung(hymn: Hymn, number: int) -> tuple[Syllable, ...]:
    """All syllables of stanza `number` in order of onset, shared refrains included.

    A stanza that prints words of its own for a refrain keeps them.
    """
    own = next((stanza for stanza in hymn.stanzas if stanza.number == number), None)
    if own is None:
        return ()
    syllables = list(own.syllables)
    for refrain in hymn.refrains:
        if not within(own, refrain):
            carrier = next((found for s in hymn.stanzas if (found := within(s, refrain))), [])
            syllables.extend(carrier)
    return tuple(sorted(syllables, key=lambda syllable: syllable.onset_q))


def stretches(hymn: Hymn, number: int) -> tuple[Span, ...]:
    """The parts of the score to which stanza `number` is sung, in order.

    The whole score, except where stanzas are sung in turn to different parts of it.
    """
    whole = (Span(Fraction(0), hymn.end_q),)
    return _stretches(hymn).get(number, whole)


@lru_cache(maxsize=8)
def _stretches(hymn: Hymn) -> Mapping[int, tuple[Span, ...]]:
    """`stretches` of every stanza: each stanza's clock asks for its own."""
    return all_stretches(hymn, singers(hymn.stanzas))


def all_stretches(hymn: Hymn, who_sings: Singers) -> dict[int, tuple[Span, ...]]:
    """`stretches` of every stanza by its number, from the hymn's `singers`."""
    whole = (Span(Fraction(0), hymn.end_q),)
    group = _groups(who_sings, len(hymn.stanzas))
    if len(set(group)) < 2:
        return {stanza.number: whole for stanza in hymn.stanzas}
    of_group = {mine: _owned(hymn, who_sings, group, mine) for mine in set(group)}
    return {stanza.number: of_group[group[i]] for i, stanza in enumerate(hymn.stanzas)}


def _owned(hymn: Hymn, who_sings: Singers, group: list[int], mine: int) -> tuple[Span, ...]:
    """What the stanzas of one group sing: from a first syllable of theirs to another group's."""
    owners = [
        (onset_q, mine if any(onset_q in span for span in hymn.refrains) else group[min(who)])
        for onset_q, who in who_sings
    ]
    changes = [b for a, b in pairwise(owners) if a[1] != b[1]]
    bounds = [Fraction(0), *(onset_q for onset_q, _ in changes), hymn.end_q]
    singing = [owners[0][1], *(owner for _, owner in changes)]
    return tuple(
        Span(start_q, end_q)
        for (start_q, end_q), owner in zip(pairwise(bounds), singing, strict=True)
        if owner == mine
    )


def shared_refrains(stanzas: Sequence[Stanza], end_q: Fraction) -> tuple[Span, ...]:
    """Stretches whose words are printed for the first or for few stanzas, sung by all.

    Few is one, or less than half; they must sing together with others elsewhere. A
    refrain lasts until the next syllable of the others, the last one until `end_q`.
    """
    if len(stanzas) < 2:
        return ()
    few = max(1, (len(stanzas) - 1) // 2)
    who_sings = singers(stanzas)
    group = _groups(who_sings, len(stanzas))
    spans: list[Span] = []
    run: list[Fraction] = []
    carriers: frozenset[int] = frozenset()
    for onset_q, who in [*who_sings, (end_q, frozenset[int]())]:
        shared = 0 < len(who) <= few and group.count(group[min(who)]) > len(who)
        if not (shared and who & carriers):
            if len(run) >= SHORTEST_REFRAIN:
                spans.append(Span(run[0], onset_q))
            run, carriers = [], frozenset()
        if shared:
            run.append(onset_q)
            carriers |= who
    return tuple(spans)


def singers(stanzas: Sequence[Stanza]) -> Singers:
    """At every onset of a syllable, which stanzas (by index) are singing."""
    onsets = sorted({s.onset_q for stanza in stanzas for s in stanza.syllables})
    found: list[set[int]] = [set() for _ in onsets]
    covered: dict[tuple[Fraction, Fraction], range] = {}  # stanzas mostly sing the same notes
    for index, stanza in enumerate(stanzas):
        for syllable in stanza.syllables:
            lasting = syllable.onset_q, syllable.end_q
            if lasting not in covered:
                covered[lasting] = range(*(bisect_left(onsets, at_q) for at_q in lasting))
            for place in covered[lasting]:
                found[place].add(index)
    return [(onset_q, frozenset(who)) for onset_q, who in zip(onsets, found, strict=True)]


def plain_text(syllables: tuple[Syllable, ...]) -> str:
    """The syllables as running text."""
    return "".join(s.text + ("" if s.joins_next else " ") for s in syllables).strip()


def within(stanza: Stanza, span: Span) -> list[Syllable]:
    """The stanza's syllables that begin in the span."""
    return [syllable for syllable in stanza.syllables if syllable.onset_q in span]


def _groups(who_sings: Singers, count: int) -> list[int]:
    """For each stanza the lowest index it is joined to by singing together somewhere."""
    group = list(range(count))
    for who in {who for _, who in who_sings}:
        joined = {group[index] for index in who}
        if len(joined) > 1:
            lowest = min(joined)
            group = [lowest if name in joined else name for name in group]
    return group
