"""The words as they are sung: each stanza with the refrain it shares."""

from __future__ import annotations

from fractions import Fraction

from suspirium.score.model import Hymn, Span, Stanza, Syllable


def sung(hymn: Hymn, number: int) -> tuple[Syllable, ...]:
    """All syllables of stanza `number` in order of onset, shared refrains included."""
    own = next((stanza for stanza in hymn.stanzas if stanza.number == number), None)
    if own is None:
        return ()
    shared = [
        syllable
        for syllable in hymn.stanzas[0].syllables
        if own is not hymn.stanzas[0]
        and any(syllable.onset_q in refrain for refrain in hymn.refrains)
    ]
    covered = {syllable.onset_q for syllable in own.syllables}
    syllables = [*own.syllables, *(s for s in shared if s.onset_q not in covered)]
    return tuple(sorted(syllables, key=lambda syllable: syllable.onset_q))


def shared_refrains(stanzas: tuple[Stanza, ...], end_q: Fraction) -> tuple[Span, ...]:
    """Stretches where, of several stanzas, only the first has words.

    A stretch counts from three syllables on: less is a slip of the pen.
    """
    if len(stanzas) < 2:
        return ()
    others = sorted({s.onset_q for stanza in stanzas[1:] for s in stanza.syllables})
    spans: list[Span] = []
    run: list[Syllable] = []
    marks = {onset: True for onset in others}
    covered = [
        Span(s.onset_q, s.end_q) for stanza in stanzas[1:] for s in stanza.syllables
    ]
    for syllable in (*stanzas[0].syllables, None):
        alone = syllable is not None and syllable.onset_q not in marks and not any(
            syllable.onset_q in span for span in covered
        )
        if alone and syllable is not None:
            run.append(syllable)
            continue
        if len(run) >= 3:
            spans.append(Span(run[0].onset_q, syllable.onset_q if syllable else end_q))
        run = []
    return tuple(spans)


def plain_text(syllables: tuple[Syllable, ...]) -> str:
    """The syllables as running text."""
    return "".join(s.text + ("" if s.joins_next else " ") for s in syllables).strip()
