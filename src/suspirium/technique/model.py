"""The `Technique`: who plays every key, with which finger or foot, and how hard it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from suspirium.errors import Remark

Plays = Literal["right", "left", "pedal"]
Pair = tuple[Plays, Plays]
PAIRS: tuple[Pair, ...] = (("right", "left"), ("right", "pedal"), ("left", "pedal"))
Foot = Literal["left", "right"]
FootPart = Literal["toe", "heel"]
Arrangement = Literal["pedal", "manuals", "solo"]
Means = Literal["", "pass", "cross", "glide", "break", "left out", "slide"]


@dataclass(frozen=True, slots=True)
class Tread:
    """One foot's part on a pedal key."""

    foot: Foot
    part: FootPart


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One key of the performance with the finger or foot that plays it.

    `voice` is the highest voice on the key, `voices` are all of them. `written_q` is the
    place in the score; onset and release count played quarters from the stanza's first
    note, and seconds. `fingers` are one finger, or two and more for a substitution, in
    the order of playing; `treads` likewise. Both are empty where the key is left out.
    `changes_q` are the played onsets after which each substitution is made, before the
    next onset.
    `means` says how the note is reached, "break" that the note before lets go early for
    it; `released_early` that this one does. `taken_over` marks a voice that changed hands,
    `shifted` a new position of the hand, `fixed` a finger that the score or player set.
    `octaves` is not 0 where the key lies outside the compass and is played so many octaves
    higher than written. `ready_s` is when a free foot can stand over its next key and wait,
    in seconds like the onset; None for hands and for a foot that comes just in time.
    """

    voice: str
    voices: tuple[str, ...]
    written_q: Fraction
    onset_q: Fraction
    release_q: Fraction
    onset_s: float
    release_s: float
    midi_pitch: int
    plays: Plays
    fingers: tuple[int, ...] = ()
    treads: tuple[Tread, ...] = ()
    changes_q: tuple[Fraction, ...] = ()
    means: Means = ""
    crosses: Literal["", "front", "behind"] = ""
    released_early: bool = False
    taken_over: bool = False
    shifted: bool = False
    fixed: bool = False
    octaves: int = 0
    ready_s: float | None = None

    @property
    def foot(self) -> Foot | None:
        """The foot that strikes, None for a hand."""
        return self.treads[0].foot if self.treads else None

    @property
    def part(self) -> FootPart | None:
        """Toe or heel of the foot that strikes, None for a hand."""
        return self.treads[0].part if self.treads else None

    @property
    def left_out(self) -> bool:
        """Nobody can play it where it stands."""
        return not self.fingers and not self.treads


@dataclass(frozen=True, slots=True)
class MeasureEffort:
    """How hard one written measure is, as demand a second, by component and by pair."""

    measure: int
    onset_q: Fraction
    end_q: Fraction
    seconds: float
    demand: float
    per_second: float
    components: Mapping[str, float]
    pairs: Mapping[Pair, float]


@dataclass(frozen=True, slots=True)
class HardPassage:
    """A stretch worth practising, the hardest first; `reason` is one plain sentence."""

    first_measure: int
    last_measure: int
    start_q: Fraction
    end_q: Fraction
    plays: tuple[Plays, ...]
    demand: float
    reason: str


@dataclass(frozen=True, slots=True)
class Effort:
    """The hymn's effort: one figure from 1 (easy) to 5 (hard), its components and where.

    `components` are points of demand by right hand, left hand, pedal, independence of the
    parts and chromaticism, and the length in onsets; `pairs` those of two players together;
    `words` says it in a sentence.
    """

    hymn: float
    components: Mapping[str, float]
    pairs: Mapping[Pair, float]
    measures: tuple[MeasureEffort, ...]
    passages: tuple[HardPassage, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Technique:
    """Hands, fingers, feet and effort for one stanza of a plan."""

    arrangement: Arrangement
    stanza: int
    notes: tuple[PlayedNote, ...]
    effort: Effort
    hand_cost: float
    pedal_cost: float
    remarks: tuple[Remark, ...] = ()
