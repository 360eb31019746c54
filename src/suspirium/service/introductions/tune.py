"""The hymn as one hears it before singing: lines, melody, and where the harmony is at rest."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from fractions import Fraction

from suspirium.plan.clock import stanza_clock
from suspirium.plan.model import LeadingPlan, Phrase
from suspirium.score.keynames import tonic_class
from suspirium.score.model import Hymn
from suspirium.score.sounding import Tone, key_at, melody_tones, tones

OCTAVE = 12
_TRIAD = frozenset({0, 3, 4, 7})


@dataclass(frozen=True, slots=True)
class Tune:
    """What the choice of an introduction looks at.

    `ends` are the phrases with which a stanza or a section of the music ends, by number:
    the first stanza's own end is `stanza_end`.
    """

    plan: LeadingPlan
    melody: tuple[Tone, ...]
    voices: tuple[tuple[Tone, ...], ...]
    lines: tuple[Phrase, ...]
    stanza_end: int
    sections: frozenset[int]
    tonic: int

    def notes(self, first_q: Fraction, last_q: Fraction) -> int:
        """Melody notes from one onset to another, both counted."""
        onset = _onset
        first = bisect_left(self.melody, first_q, key=onset)
        return bisect_right(self.melody, last_q, key=onset) - first

    def chord(self, at_q: Fraction) -> tuple[int, ...]:
        """Semitones above the tonic of all that sounds from `at_q`, the bass first."""
        return self._classes([t for v in self.voices for t in v if t.onset_q <= at_q < t.end_q])

    def chord_before(self, at_q: Fraction) -> tuple[int, ...]:
        """The same for what sounds until `at_q`."""
        return self._classes([t for v in self.voices for t in v if t.onset_q < at_q <= t.end_q])

    def _classes(self, sounding: list[Tone]) -> tuple[int, ...]:
        keys = sorted(tone.pitch.midi for tone in sounding)
        return tuple((key - self.tonic) % OCTAVE for key in keys)


def _onset(tone: Tone) -> Fraction:
    return tone.onset_q


def tune_of(plan: LeadingPlan) -> Tune:
    """The tune of a plan, its lines in written order."""
    hymn = plan.hymn
    clock = stanza_clock(plan, plan.stanza_numbers[0], last=False)
    stanza_end = clock.phrase_ends[-1].phrase.number
    sections = frozenset(
        phrase.number for phrase in plan.phrases if _ends_section(hymn, phrase)
    ) | {stanza_end, plan.phrases[-1].number}
    voices = tuple(tones(voice) for voice in hymn.voices)
    tune = Tune(plan, melody_tones(hymn), voices, plan.phrases, stanza_end, sections, 0)
    return Tune(plan, tune.melody, voices, plan.phrases, stanza_end, sections, _tonic(hymn, tune))


def _ends_section(hymn: Hymn, phrase: Phrase) -> bool:
    """Whether a double bar or repeat sign closes the measure in which the line ends."""
    return any(
        measure.onset_q < phrase.end_q <= measure.end_q
        and (measure.repeat_end or measure.right in ("double", "final"))
        for measure in hymn.measures
    )


def _tonic(hymn: Hymn, tune: Tune) -> int:
    """The tonic's pitch class: the printed key's where a section closes on it.

    A source may print the signature of a minor or modal hymn as the major key's: then no
    section closes on that, and the last bass tells. A melody alone that ends on another
    tone of the printed triad keeps the printed tonic.
    """
    key = key_at(hymn, tune.lines[-1].last_onset_q)
    printed = tonic_class(key.fifths, key.mode)
    closing = [
        chord
        for line in tune.lines
        if line.number in tune.sections and (chord := tune.chord_before(line.end_q))
    ]
    alone = len(tune.voices) == 1
    for chord in closing:
        above = (chord[0] - printed) % OCTAVE
        if above == 0 or (alone and above in _TRIAD):
            return printed
    return closing[-1][0] if closing else printed


def at_rest(chord: tuple[int, ...]) -> bool:
    """Whether a chord is the tonic triad in root position, the fifth or third optional."""
    return bool(chord) and chord[0] == 0 and set(chord) <= _TRIAD


def of_the_key(chord: tuple[int, ...]) -> bool:
    """Whether a chord belongs to the tonic triad, whatever its bass, and so tells the key."""
    return bool(chord) and set(chord) <= _TRIAD
