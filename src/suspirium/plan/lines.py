"""The lines of the hymn as the plan uses them: found, or given by the organist."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from suspirium.errors import OverrideError, ScoreError
from suspirium.plan.phrases import Evidence, PhraseSpan, find_phrases
from suspirium.score.model import Hymn
from suspirium.score.sounding import melody_tones

_SAID = {
    "fermata": "a fermata",
    "breath-mark": "a breath mark",
    "double-bar": "a double bar",
    "barline": "a barline",
    "rest": "a rest",
    "long-note": "a long note",
    "full-stop": "a stop",
    "semicolon": "a semicolon",
    "comma": "a comma",
    "punctuation": "punctuation",
    "capital": "a capital after it",
    "cadence": "a cadence",
    "root-chord": "a chord at rest",
    "still": "all voices standing still",
    "opening-tune": "the opening's tune coming back",
    "opening-rhythm": "the opening's rhythm coming back",
    "bar-place": "the opening's place in the bar",
    "half": "the middle of the hymn",
}


def lines_of(hymn: Hymn, ends_q: Iterable[Fraction] | None = None) -> tuple[PhraseSpan, ...]:
    """The lines found in notes and words, or those that end where the organist says.

    Raises `ScoreError` for a melody without notes, `OverrideError` for an end that is none.
    """
    if not melody_tones(hymn):
        raise ScoreError("the melody has no notes; nothing can be planned")
    return find_phrases(hymn) if ends_q is None else spans_at(hymn, ends_q)


def spans_at(hymn: Hymn, ends_q: Iterable[Fraction]) -> tuple[PhraseSpan, ...]:
    """Lines that end with the melody notes at `ends_q`; the hymn's own end may be left out.

    Raises `OverrideError` where no melody note begins at such an onset.
    """
    line = melody_tones(hymn)
    at = {tone.onset_q: index for index, tone in enumerate(line)}
    first = 0
    spans = []
    for number, end_q in enumerate(sorted({*ends_q, line[-1].onset_q}), 1):
        if end_q not in at:
            raise OverrideError(
                f"no melody note begins at quarter {end_q}, so no line can end there"
            )
        last = line[at[end_q]]
        spans.append(
            PhraseSpan(number, line[first].onset_q, last.onset_q, last.duration_q, last.end_q)
        )
        first = at[end_q] + 1
    return tuple(spans)


def evidence_words(span: PhraseSpan) -> str:
    """What a line end was found by, in words: "a long note, a comma and a rhyme with line 2"."""
    said = [_said(evidence) for evidence in span.evidence]
    if len(said) < 2:
        return "".join(said)
    return f"{', '.join(said[:-1])} and {said[-1]}"


def _said(evidence: Evidence) -> str:
    words = _SAID.get(evidence.key, evidence.key.replace("-", " "))
    if evidence.key == "rhyme":
        words = "a rhyme"
    return words if evidence.line is None else f"{words} with line {evidence.line}"
