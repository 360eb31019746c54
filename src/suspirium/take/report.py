"""What a take report holds: every measure with how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import nan


def measure_name(number: int) -> str:
    """A measure in words; 0 is what stands before the first."""
    return f"measure {number}" if number else "the pickup"


@dataclass(frozen=True, slots=True)
class StanzaTempo:
    """Tempo of one time through (stanza 0 is the introduction).

    `drift_percent` is the change of tempo from its beginning to its end (positive is
    quicker), `steadiness_percent` the standard deviation of the intervals against the
    slowly changing tempo. `error_percent`, `drift_error_percent` and
    `steadiness_error_percent` are the standard errors of the three.
    """

    stanza: int
    quarter_bpm: float
    drift_percent: float
    steadiness_percent: float
    error_percent: float
    drift_error_percent: float = nan
    steadiness_error_percent: float = nan


@dataclass(frozen=True, slots=True)
class PulsePoint:
    """One pulse as played: how much later than the plan, run at this stanza's own tempo (NaN
    where it is not heard well enough), and the standard error of that."""

    stanza: int
    phrase: int
    played_q: float
    late_s: float
    error_s: float = 0.0


@dataclass(frozen=True, slots=True)
class LineEnd:
    """One line end as played: how long the melody's last note sounded, the silence after it
    (both NaN where that is not heard), and the quarters added (or lost, negative) beyond the
    plan.

    `confidence` is the probability that `added_q` is right about whether beats were added;
    `error_q` its standard error, `sounded_error_s` that of hold and silence (NaN if unknown).
    `quarter_s` are the seconds of a quarter around it (NaN if unknown), `planned_stretch_q` what
    the plan already lengthens this place by.
    """

    stanza: int
    phrase: int
    onset_q: Fraction
    hold_s: float
    silence_s: float
    planned_hold_s: float
    planned_silence_s: float
    added_q: float
    error_q: float
    confidence: float
    sounded_error_s: float = nan
    quarter_s: float = nan
    planned_stretch_q: float = 0.0


@dataclass(frozen=True, slots=True)
class Gap:
    """From the last melody note of a stanza to the next stanza's first note.

    `after_stanza` is 0 after the introduction; the silence is of all keys (NaN where it is not
    heard). `error_s` and `silence_error_s` are the standard errors of `onset_to_onset_s` and
    `silence_s` (NaN if unknown).
    """

    after_stanza: int
    onset_to_onset_q: float
    onset_to_onset_s: float
    silence_s: float
    error_s: float = nan
    silence_error_s: float = nan


@dataclass(frozen=True, slots=True)
class NoteFault:
    """A wrong, missing or extra note and its place; names are spelled in the hymn's key."""

    kind: str
    stanza: int
    measure: int
    onset_q: Fraction
    voice: str
    expected_midi: int | None
    played_midi: int | None
    expected_name: str = ""
    played_name: str = ""


@dataclass(frozen=True, slots=True)
class TouchMeasure:
    """One kind of touch over the take: planned and played seconds of silence, median.

    `spread_s` is how much it varies (standard deviation, from the median deviation),
    `error_s` the standard error of the median.
    """

    kind: str
    count: int
    planned_s: float
    played_s: float
    spread_s: float
    error_s: float = nan


@dataclass(frozen=True, slots=True)
class Restart:
    """Where the player stopped and where she began again.

    `phrase` is the number of the line where it was exactly one whole line, else 0.
    """

    stanza: int
    stopped_measure: int
    again_measure: int
    phrase: int = 0


@dataclass(frozen=True, slots=True)
class PlannedTempo:
    """The plan's tempo and the window in which the hymn can be sung, quarters a minute."""

    quarter_bpm: float
    low_quarter_bpm: float
    high_quarter_bpm: float


@dataclass(frozen=True, slots=True)
class TakeReport:
    """Everything measured in one take, and the three things most worth changing.

    `matched` is None where notes are not told apart (a recording). `voices_played` are the
    voices that the take has, high to low, `voices_left_out` the others: nothing is said to
    be missing of these. None where a recording does not tell. `remarks` are what was noticed
    in reading the take that the organist should know.
    """

    title: str
    stanzas_planned: int
    stanzas_found: int
    introduction_found: bool
    transposed_semitones: int
    tempos: tuple[StanzaTempo, ...]
    pulse: tuple[PulsePoint, ...]
    line_ends: tuple[LineEnd, ...]
    gaps: tuple[Gap, ...]
    planned_gap_q: float
    planned_gap_s: float
    planned_gap_silence_q: float
    matched: int | None
    faults: tuple[NoteFault, ...]
    restarts: tuple[Restart, ...]
    touches: tuple[TouchMeasure, ...]
    not_measured: tuple[str, ...]
    advice: tuple[str, ...]
    praise: tuple[str, ...]
    voices_played: tuple[str, ...] | None = None
    voices_left_out: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    planned_tempo: PlannedTempo | None = None
