"""The words as they are sung: refrains shared, stanzas with their stretch of the score.

Four things a page can mean by words under notes are told apart by who sings where:

- a **refrain** is printed once and sung in every stanza: few stanzas carry it, and those
  sing elsewhere together with the others;
- stanzas that share no stretch at all (odd ones under the first strain, even ones under
  the second) are sung **in turn**: each has its own stretch of the score;
- two lines of words under a section that is played twice, with one line elsewhere, are
  **passes** of one stanza: the first line the first time, the second the second time;
- a repeat around all that the stanzas sing each for themselves leads to the next stanza:
  each is sung once, with the ending of its turn.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from suspirium.score.model import Hymn, Span, Stanza, Syllable
from suspirium.score.repeats import Section, sections

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
    inside the repeated section, the line of that pass, and under an ending without words
    of that pass the first line's.
    """
    section = _passes(hymn)
    if section is None or number != hymn.stanzas[0].number:
        return sung(hymn, number)
    first, passing = hymn.stanzas[0], hymn.stanzas[min(turn, len(hymn.stanzas)) - 1]
    own = [span for span, turns in section.endings if turn in turns]
    foreign = [span for span, turns in section.endings if turn not in turns]
    found = [s for s in _within(passing, section.span) if not _in_any(s, foreign)]
    found += [s for s in first.syllables if s.onset_q not in section.span]
    for ending in own:
        if passing is not first and not _within(passing, ending):
            found += _within(first, ending)
    return tuple(sorted(found, key=lambda syllable: syllable.onset_q))


def repeated_words(hymn: Hymn) -> Span | None:
    """The section, played twice, under which two lines of words are its two passes.

    None where every line of words is a stanza: where there are not just two lines, where
    both go on outside of a repeated section, or where the repeat leads to the next stanza.
    """
    section = _passes(hymn)
    return None if section is None else section.span


def _passes(hymn: Hymn) -> Section | None:
    if len(hymn.stanzas) != 2:
        return None
    both = [onset_q for onset_q, who in singers(hymn.stanzas) if len(who) == 2]
    onward = rounds(hymn)
    for section in sections(hymn.measures):
        if both and section not in onward and all(onset_q in section.span for onset_q in both):
            second = hymn.stanzas[1].syllables
            return section if len(_within(hymn.stanzas[1], section.span)) == len(second) else None
    return None


def rounds(hymn: Hymn) -> tuple[Section, ...]:
    """The repeated sections whose repeat leads to the next stanza, not back within one.

    A stanza then sings the section once, with the ending of its turn (`turn_of`). So
    where a section holds all that several stanzas sing each for themselves, no stanza has
    words of its own under another's ending, and

    - there are three or more such stanzas (a stanza does not sing one line of words as two
      passes), or two and endings for more than two turns, or
    - all words stand in the section: a hymn that is repeated as a whole.

    Endings for just as many turns as there are stanzas, those printed apart from the
    music counted, need no more evidence where they are more than two.
    """
    count = len(stanza_numbers(hymn))
    if count < 2:
        return ()
    together = [onset_q for onset_q, who in singers(hymn.stanzas) if len(who) > 1]
    return tuple(
        section
        for section in sections(hymn.measures)
        if all(onset_q in section.span for onset_q in together)
        and (section.turns == count > 2 or _leads_on(hymn, section))
    )


def turn_of(hymn: Hymn, section: Section, number: int) -> int:
    """The turn of a section among `rounds` that stanza `number` sings.

    The last stanza has the last turn, the others theirs in order: where they are more
    than the turns, the last but one serves for all that are left.
    """
    numbers = stanza_numbers(hymn)
    if number not in numbers[:-1]:
        return section.turns
    return min(numbers.index(number) + 1, section.turns - 1)


def stanza_numbers(hymn: Hymn) -> tuple[int, ...]:
    """Numbers of all stanzas; those printed apart from the music count on."""
    printed = [stanza.number for stanza in hymn.stanzas]
    apart = max(printed, default=0) + 1
    return (*printed, *range(apart, apart + len(hymn.plain_stanzas)))


def foreign_endings(hymn: Hymn, section: Section, number: int) -> tuple[Span, ...]:
    """Where, in a section among `rounds`, endings stand that stanza `number` does not sing."""
    turn = turn_of(hymn, section, number)
    return tuple(span for span, turns in section.endings if turn not in turns)


def _leads_on(hymn: Hymn, section: Section) -> bool:
    for stanza in hymn.stanzas:
        foreign = foreign_endings(hymn, section, stanza.number)
        own = (s for s in stanza.syllables if not _in_any(s, hymn.refrains))
        if any(_in_any(syllable, foreign) for syllable in own):
            return False
    if len(hymn.stanzas) > 2 or (len(hymn.stanzas) == 2 and section.turns > 2):
        return True
    onsets = [s.onset_q for stanza in hymn.stanzas for s in stanza.syllables]
    everything = onsets or [measure.onset_q for measure in hymn.measures]
    return all(onset_q in section.span for onset_q in everything)


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


def _in_any(syllable: Syllable, spans: Sequence[Span]) -> bool:
    return any(syllable.onset_q in span for span in spans)


def _groups(who_sings: Singers, count: int) -> list[int]:
    """For each stanza the lowest index it is joined to by singing together somewhere."""
    group = list(range(count))
    for who in {who for _, who in who_sings}:
        joined = {group[index] for index in who}
        if len(joined) > 1:
            lowest = min(joined)
            group = [lowest if name in joined else name for name in group]
    return group
