"""How a hymn moves: its syllables, melismas, chords and bass as rates in score time."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from suspirium.score.model import Hymn
from suspirium.score.sounding import Tone, bass_tones, closing_q, melody_tones, tones
from suspirium.score.words import sung


@dataclass(frozen=True, slots=True)
class Densest:
    """The place where `count` steps in a row take the least time, `span_q`, on average."""

    onset_q: Fraction
    span_q: Fraction
    count: int

    @property
    def step_q(self) -> Fraction:
        """Average quarters a step."""
        return self.span_q / self.count


def syllable_onsets(hymn: Hymn) -> tuple[tuple[Fraction, ...], ...]:
    """Onsets of the sung syllables, one tuple a stanza.

    Without words every melody note that is not slurred to the one before is a syllable.
    """
    by_stanza = tuple(
        tuple(sorted({s.onset_q for s in sung(hymn, stanza.number)})) for stanza in hymn.stanzas
    )
    if any(by_stanza):
        return tuple(onsets for onsets in by_stanza if onsets)
    return (tuple(tone.onset_q for tone in melody_tones(hymn) if not tone.slurred),)


def densest(onsets: tuple[Fraction, ...], count: int) -> Densest | None:
    """The quickest run of `count` steps, the earliest of equals; None if there is none."""
    runs = [
        Densest(start, end - start, count)
        for start, end in zip(onsets, onsets[count:], strict=False)
    ]
    return min(runs, key=lambda run: (run.span_q, run.onset_q), default=None)


def densest_of(lines: tuple[tuple[Fraction, ...], ...], count: int) -> Densest | None:
    """The quickest run over several lines."""
    runs = [run for run in (densest(line, count) for line in lines) if run]
    return min(runs, key=lambda run: (run.span_q, run.onset_q), default=None)


def melisma_step(hymn: Hymn) -> Densest | None:
    """The shortest melody note inside a melisma (a note slurred to the one before)."""
    steps = [
        Densest(before.onset_q, tone.onset_q - before.onset_q, 1)
        for before, tone in pairwise(melody_tones(hymn))
        if tone.slurred
    ]
    return min(steps, key=lambda step: (step.span_q, step.onset_q), default=None)


def chord_onsets(hymn: Hymn) -> tuple[Fraction, ...]:
    """Where the harmony moves: onsets at which at least half of the voices move together."""
    if len(hymn.voices) < 2:
        return ()
    counts: dict[Fraction, int] = {}
    for voice in hymn.voices:
        line = tones(voice)
        for before, tone in pairwise(line):
            if tone.pitch.midi != before.pitch.midi:
                counts[tone.onset_q] = counts.get(tone.onset_q, 0) + 1
    needed = len(hymn.voices) / 2
    return tuple(sorted(onset for onset, count in counts.items() if count >= needed))


def bass_leap(hymn: Hymn, semitones: int) -> tuple[Tone, Tone] | None:
    """The quickest bass leap wider than `semitones`: the tone left and the tone reached."""
    if len(hymn.voices) < 2:
        return None
    leaps = [
        (before, tone)
        for before, tone in pairwise(bass_tones(hymn))
        if abs(tone.pitch.midi - before.pitch.midi) > semitones
    ]
    return min(
        leaps,
        key=lambda leap: (leap[1].onset_q - leap[0].onset_q, leap[0].onset_q),
        default=None,
    )


def mean_syllable_q(hymn: Hymn) -> Fraction:
    """Quarters a syllable, averaged over the whole hymn (line ends included)."""
    lines = syllable_onsets(hymn)
    count = max((len(line) for line in lines), default=0)
    return closing_q(hymn) / max(1, count)
