"""The card of a hymn: what it is found by."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from suspirium.plan.model import LeadingPlan
from suspirium.plan.performance import perform
from suspirium.plan.touch import beat_strength
from suspirium.plan.verse_facts import plan_metre
from suspirium.repertoire.melody import Melody, melody_of
from suspirium.score.sounding import key_at, melody_tones
from suspirium.score.words import plain_text, sung
from suspirium.technique import find_technique

PARTS = ("words", "tune", "setting", "engraving")
_PART_OF_ROLE = {"words": "words", "music": "tune", "setting": "setting", "copyright": "engraving"}


@dataclass(frozen=True, slots=True)
class Card:
    """What a hymn is found by.

    `fifths` and `mode` are the key's; `low_midi` and `high_midi` the melody's range;
    `beats` has a digit for each syllable of a line: the strength of its beat, 0 to 3;
    `difficulty` is the effort of the whole hymn; `credits` are by part: words, tune,
    setting, engraving, each with its own source and rights.
    """

    title: str
    tune: str
    first_line: str
    metre: str
    fifths: int
    mode: str
    low_midi: int
    high_midi: int
    stanzas: tuple[str, ...]
    melody: Melody
    beats: tuple[str, ...]
    duration_s: float
    difficulty: float
    credits: tuple[tuple[str, str], ...]

    @property
    def author(self) -> str:
        """Who is credited with the words."""
        return "; ".join(text for part, text in self.credits if part == "words")


def card_of(plan: LeadingPlan) -> Card:
    """The card of a planned hymn; its difficulty is that of a fluent player with pedals."""
    hymn = plan.hymn
    melody = melody_of(hymn)
    key = key_at(hymn, hymn.pickup_q)
    stanzas = stanza_texts(plan)
    return Card(
        title=hymn.title,
        tune=hymn.tune,
        first_line=stanzas[0].splitlines()[0] if stanzas else "",
        metre=plan_metre(plan),
        fifths=key.fifths,
        mode=key.mode,
        low_midi=min(melody.keys),
        high_midi=max(melody.keys),
        stanzas=stanzas,
        melody=melody,
        beats=_beats(plan),
        duration_s=perform(plan).duration_s,
        difficulty=find_technique(plan).effort.hymn,
        credits=tuple(
            (_PART_OF_ROLE[credit.role], credit.text)
            for credit in hymn.credits
            if credit.role in _PART_OF_ROLE
        ),
    )


def _beats(plan: LeadingPlan) -> tuple[str, ...]:
    """Beat strengths of the first stanza's syllables, or of the melody's notes without words."""
    hymn = plan.hymn
    onsets = [s.onset_q for s in sung(hymn, plan.stanza_numbers[0])]
    onsets = onsets or [tone.onset_q for tone in melody_tones(hymn)]
    return tuple(
        "".join(
            str(beat_strength(hymn, onset_q))
            for onset_q in onsets
            if phrase.first_onset_q <= onset_q <= phrase.last_onset_q
        )
        for phrase in plan.phrases
    )


def stanza_texts(plan: LeadingPlan) -> tuple[str, ...]:
    """The words of each stanza, a line of the poem a line; those printed apart as they are."""
    found = []
    spans = [(phrase.first_onset_q, phrase.last_onset_q) for phrase in plan.phrases]
    for number in plan.stanza_numbers:
        syllables = sung(plan.hymn, number)
        lines = [
            plain_text(tuple(s for s in syllables if first_q <= s.onset_q <= last_q))
            for first_q, last_q in spans
        ]
        text = "\n".join(line for line in lines if line)
        if text:
            found.append(text)
    laid = len(found)
    apart = plan.hymn.plain_stanzas[max(0, laid - len(plan.hymn.stanzas)) :]
    return (*found, *("\n".join(lines) for lines in apart if laid < len(plan.stanza_numbers)))


def credit_line(credits: Iterable[tuple[str, str]]) -> str:
    """The line to print under a hymn: each part with its own credit."""
    return " ".join(f"{part.capitalize()}: {text.rstrip('.')}." for part, text in credits if text)
