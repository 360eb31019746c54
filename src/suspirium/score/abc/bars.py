"""Barlines as a voice writes them, and the measures that all voices together make."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from suspirium.errors import Place, Remark, ScoreError
from suspirium.score.model import Measure, TimeChange, TimeSignature
from suspirium.score.spoken import printable, quarters

_WEIGHT = {"none": 0, "dotted": 1, "single": 2, "double": 3, "final": 4}
MOST_PASSES = 20


@dataclass(frozen=True, slots=True)
class Bar:
    """A barline: how it looks, what it repeats, which endings begin after it."""

    onset_q: Fraction
    style: str = "none"
    repeat_end: bool = False
    repeat_start: bool = False
    endings: tuple[int, ...] = ()
    ends_ending: bool = False


def read_bar(onset_q: Fraction, text: str, passes: str = "") -> Bar:
    """A barline from its ABC text, such as `|`, `:|` or `.|`."""
    repeat_end, repeat_start = text.startswith(":"), text.endswith(":")
    if text.startswith("[|]"):
        style = "none"
    elif text.startswith("."):
        style = "dotted"
    elif text.endswith("]") or repeat_end:
        style = "final"
    elif "||" in text or text.startswith("[") or repeat_start:
        style = "double"
    else:
        style = "single"
    ends = style in ("double", "final")
    return Bar(onset_q, style, repeat_end, repeat_start, read_passes(passes), ends)


def read_passes(text: str) -> tuple[int, ...]:
    """The passes of an ending: "1,3" or "1-3". Raises `ScoreError`."""
    found: list[int] = []
    for part in text.split(","):
        first, _, last = part.partition("-")
        if not first.isdigit():
            continue
        low, high = int(first), int(last) if last.isdigit() else int(first)
        if not 1 <= low <= high <= MOST_PASSES:
            raise ScoreError(f'"[{printable(text, 20)}" names no ending; endings count from 1.')
        found.extend(range(low, high + 1))
    return tuple(sorted(set(found)))


def merged(bars: Iterable[Bar]) -> list[Bar]:
    """One barline an onset, in order: the heaviest style, every repeat and ending."""
    at: dict[Fraction, Bar] = {}
    for bar in bars:
        known = at.get(bar.onset_q)
        at[bar.onset_q] = bar if known is None else _both(known, bar)
    return [at[onset_q] for onset_q in sorted(at)]


def _both(one: Bar, other: Bar) -> Bar:
    heavier = max(one, other, key=lambda bar: _WEIGHT[bar.style])
    return Bar(
        one.onset_q,
        heavier.style,
        one.repeat_end or other.repeat_end,
        one.repeat_start or other.repeat_start,
        one.endings or other.endings,
        one.ends_ending or other.ends_ending,
    )


def measures(
    voices: Sequence[Sequence[Bar]], times: Sequence[TimeChange], end_q: Fraction
) -> tuple[Measure, ...]:
    """Measures from the barlines at least half of the voices share.

    The pickup is number 0; parts of a bar that a barline splits share its number.
    """
    bars = _agreed(voices)
    starts = [Fraction(0), *(bar.onset_q for bar in bars if 0 < bar.onset_q < end_q)]
    at = {bar.onset_q: bar for bar in bars}
    found: list[Measure] = []
    endings: tuple[int, ...] = ()
    for start_q, stop_q in zip(starts, [*starts[1:], end_q], strict=True):
        left, right = at.get(start_q, Bar(start_q)), at.get(stop_q, Bar(stop_q))
        endings = left.endings or (() if left.ends_ending else endings)
        found.append(
            Measure(
                number=0,
                onset_q=start_q,
                duration_q=stop_q - start_q,
                right=right.style,
                repeat_start=left.repeat_start,
                repeat_end=right.repeat_end,
                endings=endings,
            )
        )
    return _numbered(found, times)


def _agreed(voices: Sequence[Sequence[Bar]]) -> list[Bar]:
    """Barlines of more than half of the voices, or of half with the first among them."""
    count: dict[Fraction, int] = {}
    for bars in voices:
        for onset_q in {bar.onset_q for bar in bars}:
            count[onset_q] = count.get(onset_q, 0) + 1
    first = {bar.onset_q for bar in voices[0]}
    return merged(
        bar
        for bars in voices
        for bar in bars
        if 2 * count[bar.onset_q] + (bar.onset_q in first) > len(voices)
    )


def _numbered(found: list[Measure], times: Sequence[TimeChange]) -> tuple[Measure, ...]:
    """Printed numbers: short measures that add up to a bar are one bar."""
    done: list[Measure] = []
    number, left_q = 0, Fraction(0)
    for index, measure in enumerate(found):
        time = _time_at(times, measure.onset_q)
        if left_q > 0:
            left_q -= measure.duration_q
            done.append(replace(measure, number=number, continues=True))
            continue
        short = time is not None and measure.duration_q < time.bar_q
        if index > 0 or not short:
            number += 1
        if index > 0 and time is not None and short:
            left_q = _filled_by(found[index:], time.bar_q)
        done.append(replace(measure, number=number))
    return tuple(done)


def _filled_by(rest: list[Measure], bar_q: Fraction) -> Fraction:
    """What the following measures give to fill the bar exactly, 0 where they don't."""
    total_q = Fraction(0)
    for measure in rest:
        total_q += measure.duration_q
        if total_q >= bar_q:
            break
    return bar_q - rest[0].duration_q if total_q == bar_q else Fraction(0)


def _time_at(times: Sequence[TimeChange], onset_q: Fraction) -> TimeSignature | None:
    time = times[0].time
    for change in times:
        if change.onset_q <= onset_q:
            time = change.time
    return time


def apart(
    names: Sequence[str],
    voices: Sequence[Sequence[Bar]],
    ends_q: Sequence[Fraction],
    found: Sequence[Measure],
) -> tuple[Remark, ...]:
    """A remark for each voice whose barlines are not the measures' own.

    `ends_q` are the ends of the voices. Raises `ScoreError` where a voice whose barlines
    part from the others' is of another length as a whole.
    """
    common_q = max(ends_q, key=lambda q: (list(ends_q).count(q), q))
    remarks = []
    for name, bars, end_q in zip(names, voices, ends_q, strict=True):
        own = {bar.onset_q for bar in bars}
        lost = next((m for m in found[:-1] if m.end_q < common_q and m.end_q not in own), None)
        if lost is None:
            continue
        place = Place(measure=lost.number, voice=name)
        if end_q == common_q:
            text = "a barline of the other voices is missing at the end of this bar."
            remarks.append(Remark(text, place))
            continue
        length_q = min((q for q in own if q > lost.onset_q), default=end_q) - lost.onset_q
        if length_q <= 0:
            raise ScoreError(f"it ends {quarters(common_q - end_q)} before the others.", place)
        raise ScoreError(
            f"the bar has {quarters(length_q)} here and {quarters(lost.duration_q)} in the "
            "other voices.",
            place,
        )
    return tuple(remarks)
