"""The lines of a hymn as found: where each begins and ends, how surely, and why."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

SAID = {
    "fermata": "a fermata",
    "breath-mark": "a breath mark",
    "double-bar": "a double bar or repeat sign",
    "barline": "a barline in free metre",
    "rest": "a rest",
    "long-note": "a long note",
    "full-stop": "a full stop",
    "semicolon": "a semicolon or colon",
    "comma": "a comma",
    "punctuation": "punctuation",
    "capital": "a capital after it",
    "cadence": "a cadence",
    "root-chord": "a chord at rest",
    "still": "all voices standing still",
    "opening-tune": "the opening tune coming back",
    "opening-rhythm": "the opening rhythm coming back",
    "bar-place": "the next line at the opening's place in the bar",
    "half": "the middle of the tune",
    "same-length": "the same length as line {line}",
    "rhyme": "a rhyme with line {line}",
    "close": "the end of the melody",
}


@dataclass(frozen=True, slots=True)
class Evidence:
    """One reason why a line ends here; `line` is the other line it refers to, if any.

    `key` is machine-readable: "long-note", "comma", "rhyme"... (`SAID` has all).
    """

    key: str
    line: int | None = None


def said(evidence: tuple[Evidence, ...]) -> str:
    """The evidence in words: "a long note, a comma and a rhyme with line 3"."""
    parts = [SAID[piece.key].format(line=piece.line) for piece in evidence]
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


@dataclass(frozen=True, slots=True)
class PhraseSpan:
    """One line of the poem in the melody; the spans of a hymn part all its notes.

    `last_onset_q` and `written_q` are onset and length (ties joined) of the line's last
    note, `end_q` is where that note ends. `confidence` is the probability, 0 to 1, that
    a line ends here.
    """

    number: int
    first_onset_q: Fraction
    last_onset_q: Fraction
    written_q: Fraction
    end_q: Fraction
    confidence: float = 1.0
    evidence: tuple[Evidence, ...] = ()

    @property
    def evidence_text(self) -> str:
        """The evidence in words: "a long note, a comma and a rhyme with line 3"."""
        return said(self.evidence)
