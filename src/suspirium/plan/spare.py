"""A spare breath: where people may breathe inside a line too long for one breath."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import log2
from statistics import median

from suspirium.plan.model import Phrase
from suspirium.plan.phrases.vocabulary import BOUND, HELPERS, PREPOSITIONS
from suspirium.score.model import Hymn, Syllable
from suspirium.score.sounding import Tone, measure_at, melody_tones
from suspirium.score.words import sung
from suspirium.tables import load
from suspirium.verse.sense import mark_of


@dataclass(frozen=True, slots=True)
class SpareBreath:
    """The melody note after which to breathe, its measure and, in the first stanza, its word."""

    onset_q: Fraction
    measure: int
    word: str


def spare_breath(hymn: Hymn, phrase: Phrase) -> SpareBreath | None:
    """The best place inside `phrase`: near its middle, after a word, a mark, a long note.

    None for a line of a single note. Costs stand in ``tables/lift.toml``.
    """
    inside = [
        tone
        for tone in melody_tones(hymn)
        if phrase.first_onset_q <= tone.onset_q < phrase.last_onset_q
    ]
    stanzas = [sung(hymn, stanza.number) for stanza in hymn.stanzas]
    usual_q = median([tone.duration_q for tone in inside]) if inside else Fraction(1)
    places = [
        (_cost(phrase, tone, usual_q, said), tone, said)
        for tone in inside
        for said in [[_ends_with(tone, syllables) for syllables in stanzas]]
        if all(syllable is not None for syllable in said)
    ]
    if not places:
        return None
    _, tone, said = min(places, key=lambda place: (place[0], place[1].onset_q))
    word = _word(stanzas[0], said[0]) if said and said[0] is not None else ""
    return SpareBreath(tone.onset_q, measure_at(hymn, tone.onset_q).number, word)


def _ends_with(tone: Tone, syllables: tuple[Syllable, ...]) -> Syllable | None:
    """The syllable that ends a word with this tone, if one does."""
    for syllable in syllables:
        if syllable.onset_q <= tone.onset_q < syllable.end_q:
            whole = syllable.end_q <= tone.end_q and not syllable.joins_next
            return syllable if whole else None
    return None


def _word(syllables: tuple[Syllable, ...], last: Syllable) -> str:
    """The whole word that ends with `last`."""
    place = syllables.index(last)
    start = place
    while start and syllables[start - 1].joins_next:
        start -= 1
    return "".join(syllable.text for syllable in syllables[start : place + 1])


def _leans_on(word: str) -> bool:
    """Whether a word leads to the next one, as an article or a preposition does."""
    return word.lower() in BOUND | PREPOSITIONS | HELPERS


def _cost(phrase: Phrase, tone: Tone, usual_q: Fraction, said: list[Syllable | None]) -> float:
    table = load("lift")
    length_q = phrase.last_onset_q + phrase.written_q - phrase.first_onset_q
    place = float((tone.end_q - phrase.first_onset_q) / length_q)
    gains = [table["spare.gain_of_mark"][mark_of(s.text)] for s in said if s is not None]
    return float(
        table["spare.cost_of_place"] * abs(place - 0.5)
        + table["spare.cost_of_leaning"] * sum(_leans_on(s.text) for s in said if s is not None)
        - (sum(gains) / len(gains) if gains else 0.0)
        - table["spare.gain_of_length"] * log2(tone.duration_q / usual_q)
    )
