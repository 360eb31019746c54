"""The tempo: a window from what binds it, and a choice inside."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import exp, log, log2

from suspirium.plan.model import Bound, Decision, Tempo
from suspirium.plan.motion import (
    Densest,
    bass_leap,
    chord_onsets,
    densest,
    densest_of,
    mean_syllable_q,
    melisma_step,
    syllable_onsets,
)
from suspirium.plan.pulse import counted_beat_q, note_name, signatures
from suspirium.room import Room
from suspirium.score.model import Hymn
from suspirium.score.sounding import measure_at
from suspirium.tables import load
from suspirium.units import SECONDS_PER_MINUTE


def tempo_bounds(
    hymn: Hymn, line_spans_q: tuple[tuple[Fraction, Fraction], ...], room: Room
) -> tuple[Bound, ...]:
    """Everything that limits the tempo, each with its measure and reason.

    `line_spans_q` are the (first onset, end) of the poem's lines.
    """
    return (
        *_syllable_bounds(hymn),
        *_melisma_bound(hymn),
        *_pedal_bound(hymn),
        *_room_bound(hymn, room),
        *_breath_bound(hymn, line_spans_q),
        _pulse_bound(hymn),
    )


def _rate_bound(
    hymn: Hymn, name: str, run: Densest | None, per_s: float, what: str
) -> Iterator[Bound]:
    if run is None:
        return
    measure = measure_at(hymn, run.onset_q).number
    bpm = float(run.step_q) * per_s * SECONDS_PER_MINUTE
    reason = f"{what} in measure {measure}: no more than {per_s:g} a second"
    yield Bound(name, "high", bpm, reason, measure)


def _syllable_bounds(hymn: Hymn) -> Iterator[Bound]:
    table = load("tempo")
    lines = syllable_onsets(hymn)
    for kind, what in (
        ("run", "the quickest run of syllables"),
        ("sustained", "the quickest line of syllables"),
    ):
        run = densest_of(lines, int(table[f"syllables.{kind}_length"]))
        per_s = table.number(f"syllables.{kind}_per_s")
        yield from _rate_bound(hymn, f"syllables_{kind}", run, per_s, what)


def _melisma_bound(hymn: Hymn) -> Iterator[Bound]:
    per_s = load("tempo").number("melisma.notes_per_s")
    yield from _rate_bound(hymn, "melisma", melisma_step(hymn), per_s, "the quickest slurred notes")


def _pedal_bound(hymn: Hymn) -> Iterator[Bound]:
    table = load("tempo")
    leap = bass_leap(hymn, int(table["pedal.leap_semitones"]))
    if leap is None:
        return
    before, after = leap
    measure = measure_at(hymn, before.onset_q).number
    bpm = float(after.onset_q - before.onset_q) / table.number("pedal.leap_s") * SECONDS_PER_MINUTE
    reason = (
        f"the quickest wide leap of the bass in measure {measure} "
        f"({before.pitch} to {after.pitch}) needs {table.number('pedal.leap_s'):g} s"
    )
    yield Bound("pedal_leap", "high", bpm, reason, measure)


def _room_bound(hymn: Hymn, room: Room) -> Iterator[Bound]:
    table = load("tempo")
    run = densest(chord_onsets(hymn), int(table["room.chords_in_a_row"]))
    if run is None:
        return
    least_s = room.fall_s(table.number("room.old_chord_db"))
    measure = measure_at(hymn, run.onset_q).number
    reason = (
        f"the quickest chords in measure {measure}: in this room ({room.rt_s:g} s) "
        f"a chord needs {least_s:.2f} s to clear"
    )
    yield Bound("room", "high", float(run.step_q) / least_s * SECONDS_PER_MINUTE, reason, measure)


def _breath_bound(
    hymn: Hymn, line_spans_q: tuple[tuple[Fraction, Fraction], ...]
) -> Iterator[Bound]:
    if not line_spans_q:
        return
    longest_s = load("tempo").number("breath.longest_s")
    start, end = max(line_spans_q, key=lambda span: span[1] - span[0])
    first, last = (measure_at(hymn, at).number for at in (start, end - Fraction(1, 64)))
    bpm = float(end - start) / longest_s * SECONDS_PER_MINUTE
    where = f"measures {first} to {last}" if first else f"from the pickup to measure {last}"
    reason = (
        f"the longest line, {where}, which must be sung in one breath of at most {longest_s:g} s"
    )
    yield Bound("breath", "low", bpm, reason, first)


def _pulse_bound(hymn: Hymn) -> Bound:
    slowest = load("pulse").number("slowest_bpm")
    beat_q = counted_beat_q(hymn)
    reason = f"below {slowest:g} {note_name(beat_q)}s a minute people no longer keep together"
    return Bound("pulse", "low", slowest * float(beat_q), reason)


def adjustment(room: Room, singers: int) -> float:
    """Factor on the customary tempo for this room and this many singers, within its cap."""
    table = load("tempo")
    share = -table.number("room.slower_per_s") * max(
        0.0, room.rt_s - table.number("room.reference_rt_s")
    )
    if room.rt_s < table.number("room.dry_rt_s"):
        share += table.number("room.dry_faster")
    doubling = table.number("singers.per_doubling")
    if singers > table.number("singers.many"):
        share -= doubling * log2(singers / table.number("singers.many"))
    if singers < table.number("singers.few"):
        share += doubling * log2(table.number("singers.few") / max(1, singers))
    cap = table.number("adjustment.cap")
    return 1.0 + max(-cap, min(cap, share))


def customary_bpm(hymn: Hymn) -> float:
    """The tempo such a hymn is customarily sung at, before room and singers.

    A weighted geometric mean of the middle of its metre's range and the tempo at which
    its syllables come at the preferred rate, the two no further apart than a factor
    (``custom_most_apart``): chant written in breves is no tempo of its own.
    """
    table = load("tempo")
    custom = table["custom"]
    times = signatures(hymn)
    by_metre = custom.get(str(times[0]) if times else "free", custom["free"])
    by_words = (
        float(mean_syllable_q(hymn))
        * table.number("syllables.preferred_per_s")
        * SECONDS_PER_MINUTE
    )
    most = table.number("custom_most_apart")
    by_words = min(max(by_words, by_metre / most), by_metre * most)
    weight = table.number("custom_weight")
    return exp(weight * log(by_metre) + (1.0 - weight) * log(by_words))


def choose_tempo(
    hymn: Hymn,
    line_spans_q: tuple[tuple[Fraction, Fraction], ...],
    room: Room,
    singers: int,
) -> Decision[Tempo]:
    """The tempo nearest to custom that every bound can bear.

    Where the quick notes and the long line contradict each other the quick notes win:
    people can take a breath more, but not sing faster than they can. A long line quickens
    the custom by no more than a share of it (``breath.most_quicker``).
    """
    table = load("tempo")
    bounds = tempo_bounds(hymn, line_spans_q, room)
    ceiling = min(
        (b for b in bounds if b.side == "high"), key=lambda b: b.quarter_bpm, default=None
    )
    wish = customary_bpm(hymn) * adjustment(room, singers)
    floor = max((b for b in bounds if b.side == "low"), key=lambda b: b.quarter_bpm, default=None)
    spread = table.number("window.spread")
    high = wish * (1 + spread)
    low = wish * (1 - spread)
    binding: Bound | None = None
    chosen = wish
    if floor and floor.quarter_bpm > low:
        low = min(floor.quarter_bpm, wish * (1 + table.number("breath.most_quicker")))
        high = max(high, low * (1 + spread))
        if low > chosen:
            chosen, binding = low, floor
    if ceiling:
        top = ceiling.quarter_bpm * (1 - table.number("ceiling.margin"))
        if top < high:
            high = top
            low = min(low, high * (1 - spread))
        if chosen > top:
            chosen, binding = top, ceiling
    chosen = float(max(1, round(chosen)))
    tempo = Tempo(chosen, min(low, chosen), max(high, chosen), bounds)
    return Decision(tempo, _reason(hymn, tempo, binding, room, singers), _name(binding))


def _name(binding: Bound | None) -> str:
    if binding is None:
        return "custom"
    return binding.name if binding.measure is None else f"{binding.name}, measure {binding.measure}"


def _reason(hymn: Hymn, tempo: Tempo, binding: Bound | None, room: Room, singers: int) -> str:
    if binding is not None:
        if binding.side == "low" and tempo.quarter_bpm < int(binding.quarter_bpm):
            return (
                f"Quickened as far as custom bears by {binding.reason}: that would take "
                f"quarter = {binding.quarter_bpm:.0f}, so people breathe once more inside."
            )
        way = "Held back by" if binding.side == "high" else "Kept moving by"
        return f"{way} {binding.reason}."
    times = signatures(hymn)
    metre = f"hymns in {times[0]}" if times else "hymns in free metre"
    syllable = note_name(mean_syllable_q(hymn)) if mean_syllable_q(hymn) in (1, 2) else ""
    moving = f" moving in {syllable}s" if syllable else ""
    factor = adjustment(room, singers)
    why = (
        "this room and number of singers change nothing"
        if abs(factor - 1) < 0.005
        else f"{abs(factor - 1):.0%} {'slower' if factor < 1 else 'quicker'} "
        f"for {room.rt_s:g} s of reverberation and {singers} singers"
    )
    return f"The custom of {metre}{moving}; {why}; nothing in the hymn binds it."
