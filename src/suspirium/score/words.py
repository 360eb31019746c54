"""The words as they are sung: refrains shared, stanzas with their stretch of the score.

Three things a page can mean by words under notes are told apart by who sings where:

- a **refrain** is printed once and sung in every stanza: few stanzas carry it, and those
  sing elsewhere together with the others;
- stanzas that share no stretch at all (odd ones under the first strain, even ones under
  the second) are sung **in turn**: each has its own stretch of the score;
- two lines of words under a section that is played twice, with one line elsewhere, are
  **passes** of one stanza: the first line the first time, the second the second time.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
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
        if not _within(own, refrain):
            carrier = next((found for s in hymn.stanzas if (found := _within(s, refrain))), [])
            syllables.extend(carrier)
    return tuple(sorted(syllables, key=lambda syllable: syllable.onset_q))


def sung_in_turn(hymn: Hymn, number: int, turn: int) -> tuple[Syllable, ...]:
    """What stanza `number` sings the `turn`-th time through (1 the first).

    The same as `sung`, except where lines of words are passes of one stanza: there,
    inside the repeated section, the line of that pass.
    """
    section = repeated_words(hymn)
    if section is None or number != hymn.stanzas[0].number:
        return sung(hymn, number)
    passing = hymn.stanzas[min(turn, len(hymn.stanzas)) - 1]
    outside = [s for s in hymn.stanzas[0].syllables if s.onset_q not in section]
    found = [*outside, *_within(passing, section)]
    return tuple(sorted(found, key=lambda syllable: syllable.onset_q))


def repeated_words(hymn: Hymn) -> Span | None:
    """The section, played twice, under which two lines of words are its two passes.

    None where every line of words is a stanza: where there are not just two lines, where
    both go on outside of a repeated section, or where the section is the whole hymn.
    """
    if len(hymn.stanzas) != 2:
        return None
    both = [onset_q for onset_q, who in singers(hymn.stanzas) if len(who) == 2]
    for section in repeated_sections(hymn):
        whole = section.duration_q >= hymn.end_q
        if both and not whole and all(onset_q in section for onset_q in both):
            second = hymn.stanzas[1].syllables
            return section if len(_within(hymn.stanzas[1], section)) == len(second) else None
    return None


def repeated_sections(hymn: Hymn) -> tuple[Span, ...]:
    """The stretches between repeat signs, endings included."""
    found: list[Span] = []
    start_q = Fraction(0)
    for measure in hymn.measures:
        if measure.repeat_start:
            start_q = measure.onset_q
        if measure.repeat_end:
            found.append(Span(start_q, measure.end_q))
            if not measure.endings:
                start_q = measure.end_q
    return tuple(found)


def stretches(hymn: Hymn, number: int) -> tuple[Span, ...]:
    """The parts of the score to which stanza `number` is sung, in order.

    The whole score, except where stanzas are sung in turn to different parts of it.
    """
    whole = (Span(Fraction(0), hymn.end_q),)
    return all_stretches(hymn, singers(hymn.stanzas)).get(number, whole)


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
    for index, stanza in enumerate(stanzas):
        place = 0
        for syllable in stanza.syllables:
            while onsets[place] < syllable.onset_q:
                place += 1
            while place < len(onsets) and onsets[place] < syllable.end_q:
                found[place].add(index)
                place += 1
    return [(onset_q, frozenset(who)) for onset_q, who in zip(onsets, found, strict=True)]


def plain_text(syllables: tuple[Syllable, ...]) -> str:
    """The syllables as running text."""
    return "".join(s.text + ("" if s.joins_next else " ") for s in syllables).strip()


def _within(stanza: Stanza, span: Span) -> list[Syllable]:
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
