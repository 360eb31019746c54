"""What a phrase's last note gives up: silence to breathe in, taken out of its own value."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from suspirium.plan.pulse import a_note, note_name
from suspirium.room import Room
from suspirium.tables import load
from suspirium.units import quarters_to_seconds


@dataclass(frozen=True, slots=True)
class Lift:
    """`hold_q` + `lift_q` is the written note; `stretch_q` makes its beat a little longer."""

    hold_q: Fraction
    lift_q: Fraction
    stretch_q: Fraction
    silence_s: float
    reason: str


@dataclass(frozen=True, slots=True)
class LiftSetting:
    """What a lift depends on beside its note: beat, metre, tempo, room."""

    beat_q: Fraction
    triple: bool
    quarter_bpm: float
    room: Room


def choose_lift(written_q: Fraction, rest_q: Fraction, setting: LiftSetting) -> Lift:
    """The lift of a last note `written_q` long that a written rest of `rest_q` follows.

    The optimum of clear costs (``tables/lift.toml``): silence too short to breathe or to
    be heard, a release between beats, the share given up, the stretch of the beat.
    """
    lift_q, stretch_q = min(
        _candidates(written_q, rest_q, setting),
        key=lambda pair: (_cost(written_q, rest_q, pair, setting), pair),
    )
    silence_s = quarters_to_seconds(lift_q + stretch_q + rest_q, setting.quarter_bpm)
    reason = _reason(written_q, lift_q, stretch_q, rest_q, silence_s)
    return Lift(written_q - lift_q, lift_q, stretch_q, silence_s, reason)


def needed_s(room: Room) -> tuple[float, float]:
    """Seconds of silence for a catch breath and for a full breath that are heard in the room."""
    table = load("lift")
    heard_s = room.fall_s(table.number("silence.dip_db"))
    return (
        max(table.number("silence.catch_s"), heard_s),
        max(table.number("silence.full_s"), heard_s),
    )


def _candidates(
    written_q: Fraction, rest_q: Fraction, setting: LiftSetting
) -> Iterator[tuple[Fraction, Fraction]]:
    table = load("lift")
    most_q = written_q * Fraction(str(table["share.most"]))
    if rest_q > 0:
        yield Fraction(0), Fraction(0)
    if written_q > setting.beat_q:
        step_q = setting.beat_q / 2
        for count in range(1, int(most_q / step_q) + 1):
            yield count * step_q, Fraction(0)
        return
    beat_step = Fraction(table["stretch.step_q"])
    stretches = int(Fraction(table["stretch.most_q"]) / beat_step)
    for lift_q in (written_q / 4, written_q / 2):
        for count in range(stretches + 1):
            yield lift_q, count * beat_step * min(setting.beat_q, written_q)


def _cost(
    written_q: Fraction,
    rest_q: Fraction,
    pair: tuple[Fraction, Fraction],
    setting: LiftSetting,
) -> float:
    lift_q, stretch_q = pair
    table = load("lift")
    catch_s, full_s = needed_s(setting.room)
    silence_s = quarters_to_seconds(lift_q + stretch_q + rest_q, setting.quarter_bpm)
    off_beat = written_q > setting.beat_q and (written_q - lift_q) % setting.beat_q != 0
    metre = "triple" if setting.triple else "duple"
    return float(
        table["cost.short_of_catch"] * max(0.0, catch_s - silence_s)
        + table["cost.short_of_full"] * max(0.0, full_s - silence_s)
        + table[f"cost.off_beat_{metre}"] * off_beat
        + table["cost.given_up"] * float(lift_q / written_q) ** 2
        + table["cost.stretch"] * float(stretch_q / setting.beat_q)
    )


def _reason(
    written_q: Fraction,
    lift_q: Fraction,
    stretch_q: Fraction,
    rest_q: Fraction,
    silence_s: float,
) -> str:
    if lift_q == 0:
        return f"The written rest gives {silence_s:.1f} s to breathe; nothing is taken."
    text = (
        f"The {note_name(written_q)} sounds {a_note(written_q - lift_q)} and gives up "
        f"{a_note(lift_q)}: {silence_s:.2g} s to breathe"
    )
    if stretch_q:
        return f"{text}, the beat stretched by {float(stretch_q / written_q):.0%}, no beat added."
    return f"{text}, no beat added."
