"""The lines of the hymn as the plan uses them: found, or given by the organist."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from suspirium.errors import OverrideError, ScoreError
from suspirium.score.model import Hymn
from suspirium.score.sounding import melody_tones


@dataclass(frozen=True, slots=True)
class PhraseSpan:
    """One line: from its first onset to the end of its last note, and how it was found."""

    number: int
    first_onset_q: Fraction
    last_onset_q: Fraction
    written_q: Fraction
    end_q: Fraction
    confidence: float = 1.0
    evidence_text: str = ""


def find_phrases(hymn: Hymn) -> tuple[PhraseSpan, ...]:
    """Stand-in."""
    line = melody_tones(hymn)
    ends = []
    from suspirium.plan.breath import mark_of

    for s, nxt in zip(
        hymn.stanzas[0].syllables if hymn.stanzas else (),
        hymn.stanzas[0].syllables[1:] if hymn.stanzas else (),
        strict=False,
    ):
        if (not s.joins_next and mark_of(s.text) != "none") or nxt.text[:1].isupper():
            inside = [t.onset_q for t in line if s.onset_q <= t.onset_q < nxt.onset_q]
            if inside:
                ends.append(inside[-1])
    return spans_at(hymn, ends)


def spans_at(hymn: Hymn, ends_q: Iterable[Fraction]) -> tuple[PhraseSpan, ...]:
    """Lines that end with the melody notes at `ends_q`; the hymn's own end may be left out.

    Raises `OverrideError` where no melody note begins at such an onset, `ScoreError` for a
    melody without notes.
    """
    line = melody_tones(hymn)
    if not line:
        raise ScoreError("the melody has no notes; nothing can be planned")
    at = {tone.onset_q: index for index, tone in enumerate(line)}
    places = []
    for end_q in sorted({*ends_q, line[-1].onset_q}):
        if end_q not in at:
            raise OverrideError(
                f"no melody note begins at quarter {end_q}, so no line can end there"
            )
        places.append(at[end_q])
    first = 0
    spans = []
    for number, place in enumerate(places, 1):
        last = line[place]
        spans.append(
            PhraseSpan(
                number,
                line[first].onset_q,
                last.onset_q,
                last.duration_q,
                last.end_q,
                1.0,
                "set by the organist",
            )
        )
        first = place + 1
    return tuple(spans)
