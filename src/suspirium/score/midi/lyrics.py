"""Lyric events as the first stanza."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from suspirium.score.midi.file import MidiScore
from suspirium.score.midi.grid import snapped_q
from suspirium.score.model import Note, Stanza, Syllable

_BREAK = re.compile(r"[\r\n/\\]")


def find_words(
    score: MidiScore, melody: Sequence[Note], start_q: Fraction, voice: str
) -> tuple[tuple[Stanza, ...], int]:
    """The words under the melody, and how many lyrics stand where no note begins.

    A syllable goes on in the next one where it ends in a hyphen, or, where the file puts
    spaces after its words, in no space; it lasts until the next one or a rest.
    """
    texts: dict[Fraction, str] = {}
    for tick, text in score.lyrics:
        onset_q = snapped_q(Fraction(tick, score.ticks_per_quarter)) - start_q
        texts[onset_q] = texts.get(onset_q, "") + text
    sung = [note for note in melody if note.pitches]
    attacks = {b.onset_q for a, b in zip([None, *sung], sung, strict=False) if not (a and a.tied)}
    spaced = any(text.endswith(" ") for text in texts.values())
    found = [
        Syllable(onset_q, _end_q(onset_q, texts, sung), shown, joins)
        for onset_q, text in sorted(texts.items())
        if onset_q in attacks
        for shown, joins in [_shown(text, spaced)]
        if shown
    ]
    lost = sum(bool(text.strip()) for onset_q, text in texts.items() if onset_q not in attacks)
    return ((Stanza(1, tuple(found), voice),) if found else ()), lost


def _shown(text: str, spaced: bool) -> tuple[str, bool]:
    ends_line = bool(_BREAK.search(text))
    bare = _BREAK.sub(" ", text)
    shown = bare.strip()
    joins = shown.endswith("-") or (spaced and not ends_line and bare == bare.rstrip())
    return shown.strip("-").strip(), joins


def _end_q(onset_q: Fraction, texts: dict[Fraction, str], sung: Sequence[Note]) -> Fraction:
    """The end of the last note before another syllable or a rest."""
    end_q = onset_q
    for note in sung:
        if note.onset_q < onset_q:
            continue
        if note.onset_q > onset_q and (note.onset_q in texts or note.onset_q != end_q):
            break
        end_q = note.end_q
    return end_q
