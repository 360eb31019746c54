"""Checks of the words under the notes."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from suspirium.errors import Place, Remark
from suspirium.score.model import Hymn, Stanza
from suspirium.score.sounding import measure_at
from suspirium.score.turns import foreign_endings, rounds
from suspirium.score.words import all_stretches, singers


def check_words(hymn: Hymn) -> Iterator[Remark]:
    """Words that are missing or astray."""
    yield from _unsung(hymn)
    yield from _wordless_end(hymn)
    yield from _astray(hymn)


def _unsung(hymn: Hymn) -> Iterator[Remark]:
    """Stanzas that have no syllable where most of the others have one."""
    if len(hymn.stanzas) < 2:
        return
    who_sings = singers(hymn.stanzas)
    own = all_stretches(hymn, who_sings)
    onward = rounds(hymn)
    common = [
        (onset_q, who)
        for onset_q, who in who_sings
        if len(who) < len(hymn.stanzas) <= 2 * len(who)
        and not any(onset_q in refrain for refrain in hymn.refrains)
    ]
    for index, stanza in enumerate(hymn.stanzas):
        foreign = [span for s in onward for span in foreign_endings(hymn, s, stanza.number)]
        lacking = [
            onset_q
            for onset_q, who in common
            if index not in who
            and any(onset_q in span for span in own[stanza.number])
            and not any(onset_q in ending for ending in foreign)
        ]
        if lacking:
            text = f"no words for {len(lacking)} notes, from this measure on, which others sing."
            number = measure_at(hymn, lacking[0]).number
            yield Remark(text, Place(number, stanza.voice, stanza.number))


def _wordless_end(hymn: Hymn) -> Iterator[Remark]:
    """Melody notes after the last syllable of all."""
    ends = [stanza.syllables[-1].end_q for stanza in hymn.stanzas if stanza.syllables]
    left = [n for n in hymn.melody.notes if n.pitches and ends and n.onset_q >= max(ends)]
    if left:
        count = "one note has" if len(left) == 1 else f"{len(left)} notes have"
        text = f"the words end before the music: {count} none from here on."
        yield Remark(text, Place(measure_at(hymn, left[0].onset_q).number, hymn.melody.name))


def _astray(hymn: Hymn) -> Iterator[Remark]:
    """Syllables under which there is no note; the first place of each stanza."""
    onsets = {
        voice.name: {note.onset_q for note in voice.notes if note.pitches} for voice in hymn.voices
    }
    for stanza in (*hymn.stanzas, *hymn.other_words):
        lost = _first_lost(stanza, onsets.get(stanza.voice, set()))
        if lost is not None:
            number = measure_at(hymn, lost).number
            text = "a syllable stands where its voice begins no note."
            yield Remark(text, Place(number, stanza.voice, stanza.number))


def _first_lost(stanza: Stanza, onsets: set[Fraction]) -> Fraction | None:
    return next((s.onset_q for s in stanza.syllables if s.onset_q not in onsets), None)
