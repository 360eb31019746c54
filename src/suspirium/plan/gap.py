"""The stanza gap: how long the last note is held, how long the silence, always the same."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from suspirium.plan.model import Decision, Ending, StanzaGap
from suspirium.room import Room
from suspirium.tables import load
from suspirium.units import quarters_to_seconds


@dataclass(frozen=True, slots=True)
class GapSetting:
    """Where a stanza ends and what it is counted in.

    `written_q` is the last note; `to_next_q` what is written from its onset to the next
    stanza's first note, `rest_q` the rest of all voices in it; `bar_place_q` its place in
    the bar; `bar_q` is None in free metre.
    """

    written_q: Fraction
    to_next_q: Fraction
    pickup_q: Fraction
    bar_place_q: Fraction
    bar_q: Fraction | None
    pulse_q: Fraction
    beat_q: Fraction
    quarter_bpm: float
    room: Room
    rest_q: Fraction = Fraction(0)


def choose_gap(setting: GapSetting) -> Decision[StanzaGap]:
    """The gap of least cost (``tables/gap.toml``) that keeps the pulse going.

    From the last note's onset to the next stanza's downbeat it is a whole number of pulses
    on the written grid, of bars where that fits.
    """
    whole_q, hold_q = min(_candidates(setting), key=lambda pair: (_cost(setting, *pair), pair))
    silence_q = whole_q - hold_q
    gap = StanzaGap(
        hold_q=hold_q,
        silence_q=silence_q,
        extra_q=whole_q - setting.to_next_q,
        onset_to_onset_q=whole_q,
        silence_s=quarters_to_seconds(silence_q, setting.quarter_bpm),
        written_q=setting.written_q,
    )
    return Decision(gap, _reason(setting, gap), f"room {setting.room.rt_s:g} s")


def least_silence_s(room: Room) -> float:
    """The shortest silence that is understood as a gap in this room."""
    table = load("gap")
    return max(table.number("silence.least_s"), table.number("silence.per_rt") * room.rt_s)


def _candidates(setting: GapSetting) -> Iterator[tuple[Fraction, Fraction]]:
    longest_q = setting.to_next_q + 2 * (setting.bar_q or 4 * setting.pulse_q)
    least_hold = Fraction(str(load("gap")["hold.least_share"])) * setting.written_q
    whole_q = setting.to_next_q + _off_grid(setting, setting.to_next_q, setting.pulse_q)
    while whole_q <= longest_q:
        longest_hold = whole_q - setting.rest_q  # a written rest is kept
        first = ceil(least_hold / setting.beat_q)
        for count in range(max(1, first), int(longest_hold / setting.beat_q) + 1):
            yield whole_q, count * setting.beat_q
        yield whole_q, setting.written_q
        whole_q += setting.pulse_q


def _off_grid(setting: GapSetting, whole_q: Fraction, grid_q: Fraction) -> Fraction:
    """What is missing until the next downbeat falls on the grid."""
    return -(setting.bar_place_q + whole_q + setting.pickup_q) % grid_q


def _cost(setting: GapSetting, whole_q: Fraction, hold_q: Fraction) -> float:
    table = load("gap")
    silence_s = quarters_to_seconds(whole_q - hold_q, setting.quarter_bpm)
    extra_s = quarters_to_seconds(whole_q - setting.to_next_q, setting.quarter_bpm)
    needed_s = least_silence_s(setting.room)
    most_s = max(table.number("silence.most_s"), needed_s)
    off_bar = setting.bar_q is not None and _off_grid(setting, whole_q, setting.bar_q) != 0
    missing = max(Fraction(0), 1 - hold_q / setting.written_q)
    beyond = max(Fraction(0), (hold_q - setting.written_q) / setting.beat_q)
    return float(
        table["cost.short_silence"] * max(0.0, needed_s - silence_s)
        + table["cost.long_silence"] * max(0.0, silence_s - most_s)
        + table["cost.idle_silence"] * max(0.0, silence_s - needed_s)
        + table["cost.extra"] * extra_s
        + table["cost.not_a_bar"] * off_bar
        + table["cost.short_hold"] * float(missing)
        + table["cost.long_hold"] * float(beyond)
    )


def counts(length_q: Fraction, beat_q: Fraction) -> str:
    """A length as counts of the beat: "five", "two and a half"."""
    words = (
        "no",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
    )
    number = length_q / beat_q
    whole = int(number)
    text = words[whole] if whole < len(words) else str(whole)
    if number == whole:
        return text
    part = number - whole
    tail = {
        Fraction(1, 2): "a half",
        Fraction(1, 4): "a quarter",
        Fraction(1, 3): "a third",
        Fraction(3, 4): "three quarters",
        Fraction(2, 3): "two thirds",
    }.get(part, str(part))
    return tail if whole == 0 else f"{text} and {tail}"


def _reason(setting: GapSetting, gap: StanzaGap) -> str:
    beat = setting.beat_q
    text = (
        f"Hold {counts(gap.hold_q, beat)}, lift {counts(gap.silence_q, beat)}: "
        f"{gap.silence_s:.1f} s of silence in a room that hangs for {setting.room.rt_s:g} s"
    )
    if gap.extra_q == 0:
        return f"{text}; nothing is added."
    if setting.bar_q and gap.extra_q % setting.bar_q == 0:
        bars = int(gap.extra_q / setting.bar_q)
        added = "one bar is" if bars == 1 else f"{bars} bars are"
        return f"{text}; {added} added, the same every time."
    return f"{text}; {counts(gap.extra_q, beat)} counts are added, the same every time."


def choose_ending(
    written_q: Fraction, beat_q: Fraction, *, broaden: bool = False
) -> Decision[Ending]:
    """The last stanza's end: a longer last chord; broadening only if the organist wishes."""
    table = load("gap")
    hold_q = ceil(written_q * Fraction(str(table["ending.last_chord"])) / beat_q) * beat_q
    share = table.number("ending.broaden") if broaden else 0.0
    slower = f"the last line broadens by {share:.0%}" if broaden else "no slowing before it"
    reason = f"The last chord is held {counts(hold_q, beat_q)} counts; {slower}."
    return Decision(Ending(hold_q, share), reason)
