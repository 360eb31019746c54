"""The `LeadingPlan`: every decision with its reason.

Score time (``_q``) is an exact `Fraction` of quarter notes from the start of the written
score; seconds are floats. Reasons are one plain sentence each; page, sheet and JSON show
the same ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, Literal, TypeVar

from suspirium.errors import Remark
from suspirium.room import Room
from suspirium.score.model import Hymn
from suspirium.score.turns import led_stanzas

T = TypeVar("T")

BreathKind = Literal["full", "part", "carry"]
TouchKind = Literal["pickup", "repeat", "bass_repeat", "tie", "shared_key"]


@dataclass(frozen=True, slots=True)
class Decision(Generic[T]):
    """A value, why it was chosen, what bound it, and whether the organist set it."""

    value: T
    reason: str
    bound_by: str = ""
    overridden: bool = False


@dataclass(frozen=True, slots=True)
class Pulse:
    """The unit people feel; `per_bar` is None in free or mixed metre."""

    unit_q: Fraction
    per_bar: Fraction | None


@dataclass(frozen=True, slots=True)
class Bound:
    """One limit on the tempo in quarters a minute, and where in the score it binds."""

    name: str
    side: Literal["low", "high"]
    quarter_bpm: float
    reason: str
    measure: int | None = None


@dataclass(frozen=True, slots=True)
class Tempo:
    """The chosen tempo inside its window, in quarter notes a minute."""

    quarter_bpm: float
    low_quarter_bpm: float
    high_quarter_bpm: float
    bounds: tuple[Bound, ...]


@dataclass(frozen=True, slots=True)
class Breath:
    """What happens at one phrase end in one stanza."""

    stanza: int
    kind: BreathKind
    reason: str


@dataclass(frozen=True, slots=True)
class Phrase:
    """One line of the poem and how its last note is led.

    The last note is written `written_q` long (ties joined); `hold_q` sounds, `lift_q` is
    silent, together they are `written_q` and `added_q`. `rest_q` is a written rest after
    it. `stretch_q` makes the beat a little longer; `added_q` is 0 but at the last phrase,
    where the stanza gap and voices that sound longer may add, and at fermatas that the
    organist wants held.
    """

    number: int
    first_onset_q: Fraction
    last_onset_q: Fraction
    end_q: Fraction
    written_q: Fraction
    hold_q: Fraction
    lift_q: Fraction
    rest_q: Fraction
    stretch_q: Fraction
    added_q: Fraction
    breaths: tuple[Breath, ...]
    reason: str
    evidence: str = ""
    confidence: float = 1.0
    overridden: bool = False

    def breath(self, stanza: int) -> BreathKind:
        """What happens here in `stanza`; stanzas without words of their own lift in full."""
        return next((b.kind for b in self.breaths if b.stanza == stanza), "full")


@dataclass(frozen=True, slots=True)
class StanzaGap:
    """From the last note of a stanza to the first of the next, the same every time."""

    hold_q: Fraction
    silence_q: Fraction
    extra_q: Fraction
    onset_to_onset_q: Fraction
    silence_s: float
    written_q: Fraction


@dataclass(frozen=True, slots=True)
class Ending:
    """The last stanza's end: how long its last chord is held, and how much it broadens."""

    hold_q: Fraction
    broaden: float


@dataclass(frozen=True, slots=True)
class Touch:
    """What one note (or the chord at one onset, `voice` "all") gives up so that it speaks.

    A "tie" gives up nothing: the next note of the same pitch is not struck again.
    """

    kind: TouchKind
    onset_q: Fraction
    voice: str
    gives_up_q: Fraction
    reason: str


@dataclass(frozen=True, slots=True)
class LeadingPlan:
    """How to lead one hymn in one room.

    `before_repeat` is the last line where a repeat leads back from it: it lifts like any
    other line there, the stanza gap comes only at the stanza's end.
    """

    hymn: Hymn
    room: Room
    singers: int
    pulse: Decision[Pulse]
    tempo: Decision[Tempo]
    phrases: tuple[Phrase, ...]
    gap: Decision[StanzaGap]
    ending: Decision[Ending]
    touches: tuple[Touch, ...]
    remarks: tuple[Remark, ...] = ()
    before_repeat: Phrase | None = None

    @property
    def stanza_numbers(self) -> tuple[int, ...]:
        """The stanzas to play; a hymn without words is played once."""
        return led_stanzas(self.hymn) or (1,)
