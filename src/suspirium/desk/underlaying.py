"""Laying a text under the tune of a score."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from suspirium.desk.finding import Found, find_score
from suspirium.desk.planning import overrides_of
from suspirium.errors import ScoreError
from suspirium.plan.lines import lines_of
from suspirium.score.decoding import decoded
from suspirium.score.model import Hymn
from suspirium.score.musicxml import write_musicxml
from suspirium.score.reading import read
from suspirium.store import read_bytes, write_whole
from suspirium.verse.text import TextStanza, read_stanzas
from suspirium.verse.underlay import Laid, lay_stanzas
from suspirium.verse.words import words_of


@dataclass(frozen=True, slots=True)
class Underlay:
    """A hymn with the words of a text under its notes, and how each stanza fits."""

    hymn: Hymn
    laid: tuple[Laid, ...]


def underlay(
    score: Path, words: Path, out: Path | None = None, language: str | None = None
) -> Underlay:
    """Lays the stanzas in the text file `words` under the tune at `score`.

    Writes the score as MusicXML to `out`, if given. Stanzas without a number count on after
    those under the notes, from 1 where the text begins with the first of these. Raises
    `ScoreError` for a text without words.
    """
    done = lay_text(find_score(score), decoded(read_bytes(words)), str(words), language)
    if out is not None:
        write_whole(out, write_musicxml(done.hymn))
    return done


def lay_text(found: Found, text: str, called: str, language: str | None = None) -> Underlay:
    """Lays the stanzas of a plain text, `called` so where it has no words, under a tune."""
    hymn = read(found.score, found.name)
    stanzas = read_stanzas(text)
    if not any(words_of(line) for stanza in stanzas for line in stanza.lines):
        raise ScoreError(f"{called} has no words to lay under the notes")
    lines = [
        (span.first_onset_q, span.last_onset_q)
        for span in lines_of(hymn, overrides_of(found).phrase_ends_q)
    ]
    texts = [stanza.lines for stanza in stanzas]
    full, laid = lay_stanzas(hymn, texts, lines, language, _numbers(hymn, stanzas))
    return Underlay(full, laid)


def _numbers(hymn: Hymn, stanzas: tuple[TextStanza, ...]) -> list[int]:
    """Printed numbers; where there are none, counted on."""
    again = bool(hymn.stanzas) and _letters_of(hymn).startswith(_letters(stanzas[0].lines[0]))
    at = 0 if again else max((stanza.number for stanza in hymn.stanzas), default=0)
    numbers: list[int] = []
    for stanza in stanzas:
        at = max(at + 1, stanza.number or 0) if stanza.number not in numbers else at + 1
        at = stanza.number if stanza.number and stanza.number not in numbers else at
        numbers.append(at)
    return numbers


def _letters(line: str) -> str:
    return "".join(word.sung for word in words_of(line))


def _letters_of(hymn: Hymn) -> str:
    return _letters("".join(syllable.text for syllable in hymn.stanzas[0].syllables))
