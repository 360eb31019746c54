"""The `Hymn`: what a score says, whatever file it came from.

Score time is an exact `Fraction` of quarter notes from the start of the written score;
the pickup begins at 0. Nothing here is performed: repeats are kept as written
(`suspirium.score.order` unfolds them).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from suspirium.errors import Remark
from suspirium.score.pitch import Pitch


@dataclass(frozen=True, slots=True)
class Span:
    """A half-open stretch of score time."""

    start_q: Fraction
    end_q: Fraction

    def __contains__(self, onset_q: object) -> bool:
        return isinstance(onset_q, Fraction | int) and self.start_q <= onset_q < self.end_q

    @property
    def duration_q(self) -> Fraction:
        return self.end_q - self.start_q


@dataclass(frozen=True, slots=True)
class Note:
    """One written note, chord of one voice, or rest.

    `pitches` ascend and are empty for a rest. `tied` means tied to the next note of the
    voice; `beamed` joined by a beam (or, in sources without beams, written together) to
    the note before. `slurs_begin` and `slurs_end` count slurs. `fingering` and
    `decorations` keep what the source prints; `graces` sound before the note.
    """

    onset_q: Fraction
    duration_q: Fraction
    pitches: tuple[Pitch, ...] = ()
    tied: bool = False
    slurs_begin: int = 0
    slurs_end: int = 0
    beamed: bool = False
    fermata: bool = False
    breath: bool = False
    fingering: tuple[str, ...] = ()
    decorations: tuple[str, ...] = ()
    graces: tuple[Pitch, ...] = ()
    hidden: bool = False
    tuplet: tuple[int, int] | None = None  # (actual, normal): (3, 2) for a triplet

    @property
    def is_rest(self) -> bool:
        return not self.pitches

    @property
    def end_q(self) -> Fraction:
        return self.onset_q + self.duration_q


@dataclass(frozen=True, slots=True)
class Voice:
    """One part. Notes and rests are in order, without overlap.

    `name` is soprano, alto, tenor or bass where there are four voices; `staff` counts
    from 0 at the top; `clef` is "treble" or "bass" (or another the source prints).
    """

    name: str
    notes: tuple[Note, ...]
    staff: int = 0
    clef: str = "treble"


@dataclass(frozen=True, slots=True)
class TimeSignature:
    """`beats` of one `unit` note each (4, 4 is common time); `symbol` is C or ¢ if so printed."""

    beats: int
    unit: int
    symbol: str = ""

    @property
    def bar_q(self) -> Fraction:
        return Fraction(4 * self.beats, self.unit)

    def __str__(self) -> str:
        return f"{self.beats}/{self.unit}"


@dataclass(frozen=True, slots=True)
class TimeChange:
    """From `onset_q` on this time signature holds; `time` is None for free metre."""

    onset_q: Fraction
    time: TimeSignature | None


@dataclass(frozen=True, slots=True)
class KeyChange:
    """From `onset_q` on this key signature holds; `mode` is "major", "minor", "dorian"..."""

    onset_q: Fraction
    fifths: int
    mode: str = "major"


@dataclass(frozen=True, slots=True)
class Measure:
    """The stretch between two barlines.

    `number` is the printed one (the pickup is 0). A bar that a double bar or repeat sign
    splits is two measures with one number, the second with `continues`. `right` is the
    closing barline: "single", "double", "final", "dotted", "none". `endings` are the
    passes under a first/second ending bracket.
    """

    number: int
    onset_q: Fraction
    duration_q: Fraction
    right: str = "single"
    repeat_start: bool = False
    repeat_end: bool = False
    endings: tuple[int, ...] = ()
    continues: bool = False

    @property
    def end_q(self) -> Fraction:
        return self.onset_q + self.duration_q


@dataclass(frozen=True, slots=True)
class Syllable:
    """A sung syllable and the notes it covers: from `onset_q` until `end_q`.

    `text` has no hyphen; `joins_next` says that the word goes on. Two words on one note
    stand in one `text`, joined by a space.
    """

    onset_q: Fraction
    end_q: Fraction
    text: str
    joins_next: bool = False


@dataclass(frozen=True, slots=True)
class Stanza:
    """The words of one stanza under one voice, in order.

    Where a refrain is printed once, only the first stanza carries its words
    (`suspirium.score.words` gives every stanza all that it sings).
    """

    number: int
    syllables: tuple[Syllable, ...]
    voice: str = "soprano"


@dataclass(frozen=True, slots=True)
class Credit:
    """A line of credit; `role` is words, music, setting, source, copyright, title or ""."""

    role: str
    text: str


@dataclass(frozen=True, slots=True)
class Annotation:
    """Text printed over the music ("Refrain")."""

    onset_q: Fraction
    text: str


@dataclass(frozen=True, slots=True)
class Hymn:
    """One hymn as written.

    `voices` run from high to low; `stanzas` are the words under the melody,
    `other_words` those under another voice; `plain_stanzas` are lines of text that the
    source prints apart from the music, one tuple of lines a stanza. `metre` is the
    printed poetic metre ("8.6.8.6"). `refrains` are the stretches whose words are printed
    once and sung in every stanza.
    """

    title: str
    voices: tuple[Voice, ...]
    measures: tuple[Measure, ...]
    times: tuple[TimeChange, ...]
    keys: tuple[KeyChange, ...]
    stanzas: tuple[Stanza, ...] = ()
    other_words: tuple[Stanza, ...] = ()
    plain_stanzas: tuple[tuple[str, ...], ...] = ()
    refrains: tuple[Span, ...] = ()
    annotations: tuple[Annotation, ...] = ()
    tune: str = ""
    metre: str = ""
    credits: tuple[Credit, ...] = ()
    quarter_bpm: float | None = None
    remarks: tuple[Remark, ...] = field(default=(), compare=False)

    @property
    def melody(self) -> Voice:
        """The highest voice."""
        return self.voices[0]

    @property
    def end_q(self) -> Fraction:
        return self.measures[-1].end_q

    @property
    def pickup_q(self) -> Fraction:
        """Length of the opening incomplete bar, 0 if the hymn opens on a full bar."""
        first = self.measures[0]
        return first.duration_q if first.number == 0 else Fraction(0)
