"""The pulse people feel: its unit, by time signature and tempo."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from math import log2

from suspirium.plan.model import Decision, Pulse
from suspirium.score.model import Hymn, TimeSignature
from suspirium.tables import load

_NAMES = {
    Fraction(1, 8): "thirty-second note",
    Fraction(1, 4): "sixteenth note",
    Fraction(3, 8): "dotted sixteenth",
    Fraction(1, 3): "triplet eighth",
    Fraction(2, 3): "triplet quarter",
    Fraction(4, 3): "triplet half",
    Fraction(1, 2): "eighth note",
    Fraction(3, 4): "dotted eighth",
    Fraction(1): "quarter note",
    Fraction(3, 2): "dotted quarter",
    Fraction(2): "half note",
    Fraction(3): "dotted half",
    Fraction(4): "whole note",
    Fraction(5): "five quarters",
    Fraction(6): "dotted whole",
    Fraction(8): "breve",
}


def note_name(length_q: Fraction) -> str:
    """A length in the trade's words: "dotted half"."""
    if length_q in _NAMES:
        return _NAMES[length_q]
    whole, part = divmod(length_q, 1)
    if part == 0:
        return f"length of {whole} quarters"
    return f"length of {f'{whole} ' if whole else ''}{part} quarters"


def a_note(length_q: Fraction) -> str:
    """The same with its article: "a dotted half", "an eighth note"."""
    name = note_name(length_q)
    return f"an {name}" if name[0] in "aeiou" else f"a {name}"


def signatures(hymn: Hymn) -> tuple[TimeSignature, ...]:
    """The time signatures that occur, in order, each once; empty in free metre."""
    seen = dict.fromkeys(change.time for change in hymn.times if change.time)
    return tuple(seen)


def counted_beat_q(hymn: Hymn) -> Fraction:
    """The note that is counted inside the pulse.

    The signature's own beat, or the commonest melody note where that is shorter (quarters
    under 2/2 or 3/2), but no less than a quarter in simple time; an eighth under x/8.
    """
    times = signatures(hymn)
    if not times:
        return Fraction(1)
    beat = min(Fraction(4, time.unit) for time in times)
    if beat < 1:
        return beat
    lengths = Counter(note.duration_q for note in hymn.melody.notes if not note.is_rest)
    common = lengths.most_common(1)[0][0] if lengths else beat
    return max(Fraction(1), min(beat, common))


def is_triple(hymn: Hymn) -> bool:
    """Whether the bars count in threes (3/4, 6/8, 9/8...)."""
    times = signatures(hymn)
    return bool(times) and times[0].beats % 3 == 0


def _candidates(time: TimeSignature) -> tuple[Fraction, ...]:
    table = load("pulse")
    key = f"units.{time}"
    if key in table:
        return tuple(Fraction(unit) for unit in table[key])
    beat = Fraction(4, time.unit)
    if time.unit >= 8 and time.beats % 3 == 0:
        return (3 * beat, beat)
    return (beat, 2 * beat) if time.beats % 2 == 0 else (beat,)


def choose_pulse(hymn: Hymn, quarter_bpm: float) -> Decision[Pulse]:
    """The pulse at `quarter_bpm`: near the preferred rate, by the custom of its metre.

    Candidates and costs stand in ``tables/pulse.toml``. In mixed metre only units that
    fill every bar whole are candidates.
    """
    table = load("pulse")
    times = signatures(hymn)
    if not times:
        unit = Fraction(1)
        reason = "There is no time signature: the quarter note is counted, the words lead."
        return Decision(Pulse(unit, None), reason)
    shared = [
        unit
        for unit in _candidates(times[0])
        if len(times) == 1 or all((time.bar_q / unit).denominator == 1 for time in times)
    ] or [counted_beat_q(hymn)]

    def cost(index: int) -> float:
        bpm = quarter_bpm / float(shared[index])
        away = abs(log2(bpm / table.number("preferred_bpm")))
        too_slow = bpm < table.number("slowest_bpm")
        too_fast = bpm > table.number("fastest_bpm")
        return away + index * table.number("custom_cost") + 10.0 * (too_slow or too_fast)

    best = min(range(len(shared)), key=cost)
    unit = shared[best]
    per_bar = times[0].bar_q / unit if len(times) == 1 else None
    return Decision(Pulse(unit, per_bar), _reason(times, unit, quarter_bpm, best))


def _reason(times: tuple[TimeSignature, ...], unit: Fraction, quarter_bpm: float, rank: int) -> str:
    bpm = round(quarter_bpm / float(unit))
    metre = " and ".join(str(time) for time in times)
    if len(times) > 1:
        return f"The metre changes ({metre}): the {note_name(unit)} goes through all bars."
    if rank == 0:
        return f"In {metre} at this tempo people feel the {note_name(unit)}, {bpm} a minute."
    return (
        f"In {metre} the {note_name(unit)} is felt here, {bpm} a minute: "
        "the customary unit would pass too slowly or too fast to follow."
    )
