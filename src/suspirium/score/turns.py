"""Repeats and words: repeats within a stanza, and those that lead to the next stanza.

- A repeat around all that the stanzas sing each for themselves leads to the next stanza:
  each is sung once, with the ending of its turn (`rounds`).
- Two lines of words under another repeated section, with one line elsewhere, are
  **passes** of one stanza: the first line the first time, the second the second time
  (`repeated_words`).
"""

from __future__ import annotations

from collections.abc import Sequence

from suspirium.score.model import Hymn, Span, Syllable
from suspirium.score.repeats import Section, sections
from suspirium.score.words import singers, sung, within


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
    count, repeated = len(stanza_numbers(hymn)), sections(hymn.measures)
    if count < 2 or not repeated:
        return ()
    together = [onset_q for onset_q, who in singers(hymn.stanzas) if len(who) > 1]
    return tuple(
        section
        for section in repeated
        if all(onset_q in section.span for onset_q in together)
        and (section.turns == count > 2 or _leads_on(hymn, section))
    )


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


def turn_of(hymn: Hymn, section: Section, number: int) -> int:
    """The turn of a section among `rounds` that stanza `number` sings.

    The last stanza has the last turn, the others theirs in order: where they are more
    than the turns, the last but one serves for all that are left.
    """
    numbers = stanza_numbers(hymn)
    if number not in numbers[:-1]:
        return section.turns
    return min(numbers.index(number) + 1, section.turns - 1)


def foreign_endings(hymn: Hymn, section: Section, number: int) -> tuple[Span, ...]:
    """Where, in a section among `rounds`, endings stand that stanza `number` does not sing."""
    turn = turn_of(hymn, section, number)
    return tuple(span for span, turns in section.endings if turn not in turns)


def stanza_numbers(hymn: Hymn) -> tuple[int, ...]:
    """Numbers of all stanzas; those printed apart from the music count on."""
    printed = [stanza.number for stanza in hymn.stanzas]
    apart = max(printed, default=0) + 1
    return (*printed, *range(apart, apart + len(hymn.plain_stanzas)))


def led_stanzas(hymn: Hymn) -> tuple[int, ...]:
    """Numbers of the stanzas under the notes; two passes of one are one stanza."""
    counted = hymn.stanzas[:1] if _passes(hymn) else hymn.stanzas
    return tuple(stanza.number for stanza in counted)


def repeated_words(hymn: Hymn) -> Span | None:
    """The section, played twice, under which two lines of words are its two passes.

    None where every line of words is a stanza: where there are not just two lines, where
    both go on outside of a repeated section, or where the repeat leads to the next stanza.
    """
    section = _passes(hymn)
    return None if section is None else section.span


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
    found = [s for s in within(passing, section.span) if not _in_any(s, foreign)]
    found += [s for s in first.syllables if s.onset_q not in section.span]
    for ending in own:
        if passing is not first and not within(passing, ending):
            found += within(first, ending)
    return tuple(sorted(found, key=lambda syllable: syllable.onset_q))


def _passes(hymn: Hymn) -> Section | None:
    if len(hymn.stanzas) != 2:
        return None
    both = [onset_q for onset_q, who in singers(hymn.stanzas) if len(who) == 2]
    onward = rounds(hymn)
    for section in sections(hymn.measures):
        if both and section not in onward and all(onset_q in section.span for onset_q in both):
            second = hymn.stanzas[1].syllables
            return section if len(within(hymn.stanzas[1], section.span)) == len(second) else None
    return None


def _in_any(syllable: Syllable, spans: Sequence[Span]) -> bool:
    return any(syllable.onset_q in span for span in spans)
