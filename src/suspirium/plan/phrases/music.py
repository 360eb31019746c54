"""What the notes say at each boundary: length, bars, harmony, texture, leaps.

Every feature is a number about 0 to 1 that stays the same if the hymn is transposed or
written in other note values. A column has one entry a boundary, from the first
(between units 0 and 1) to the last.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from math import log2
from statistics import median

from suspirium.plan.phrases.bars import Bars
from suspirium.plan.phrases.line import Line, Struck

Columns = dict[str, list[float]]

AROUND = 4  # units on either side that a note's length is held against
OCTAVE = 12


def music_columns(line: Line, bars: Bars) -> Columns:
    """All columns from the notes but those of returning passages."""
    return (
        _lengths(line)
        | _places(line, bars)
        | _harmony(line)
        | _texture(line)
        | _leaps(line)
        | _printed(line, bars)
    )


def last_lengths(line: Line) -> list[int]:
    """From each unit's last note to the next unit, a rest included."""
    return [
        following - line.notes[note].start
        for note, following in zip(line.last_note, line.starts[1:], strict=True)
    ]


def _clip(value: float, low: float, high: float) -> float:
    return min(high, max(low, value))


def _lengths(line: Line) -> Columns:
    units = [b - a for a, b in zip(line.starts, line.starts[1:], strict=False)]
    lasts = last_lengths(line)
    usual = median(units)
    inner = lasts[:-1] or lasts
    columns: Columns = {
        name: []
        for name in (
            "len_usual",
            "len_long",
            "len_short",
            "len_before",
            "len_after",
            "len_rank",
            "len_peak3",
            "len_peak6",
            "unit_usual",
            "rest",
            "rest_len",
            "len_half",
            "len_melisma",
        )
    }
    for b in range(1, line.count):
        length, unit = lasts[b - 1], units[b - 1]
        before = units[max(0, b - 1 - AROUND) : b - 1] or [round(usual)]
        after = units[b : b + AROUND]
        near3 = lasts[max(0, b - 4) : b - 1] + lasts[b : b + 3]
        near6 = lasts[max(0, b - 7) : b - 1] + lasts[b : b + 6]
        rest = line.starts[b] - line.notes[line.last_note[b - 1]].end
        usual_ratio = log2(length / usual)
        columns["len_usual"].append(_clip(usual_ratio, -2, 3))
        columns["len_long"].append(float(usual_ratio > 0.9))
        columns["len_half"].append(float(0.4 < usual_ratio <= 0.9))
        columns["len_short"].append(float(usual_ratio < 0))
        columns["len_before"].append(_clip(log2(length * len(before) / sum(before)), -2, 2))
        columns["len_after"].append(_clip(log2(length * len(after) / sum(after)), -2, 2))
        columns["len_rank"].append(sum(x >= length for x in inner) / len(inner))
        columns["len_peak3"].append(float(length > max(near3)))
        columns["len_peak6"].append(float(length > max(near6)))
        columns["unit_usual"].append(_clip(log2(unit / usual), -2, 3))
        columns["len_melisma"].append(float(unit > length))
        columns["rest"].append(float(rest > 0))
        columns["rest_len"].append(_clip(rest / usual, 0, 2))
    return columns


def _places(line: Line, bars: Bars) -> Columns:
    columns: Columns = {
        name: []
        for name in (
            "bar_opening",
            "bar_opening_half",
            "bar_downbeat_last",
            "bar_half_last",
            "bar_line",
            "bar_free_line",
            "bars2",
            "bars4",
            "half",
            "quarter",
            "third",
            "bar_downbeat_next",
            "popular",
        )
    }
    free = bars.length == 0
    opening = 0 if free else bars.phase(line.starts[0]) % bars.length
    begin, end = line.starts[0], line.starts[-1]
    total = _round_length(end - begin, bars.length)
    phases = [0 if free else bars.phase(tick) % bars.length for tick in line.starts[:-1]]
    for b in range(1, line.count):
        at = line.starts[b]
        last = line.notes[line.last_note[b - 1]].start
        phase = phases[b]
        last_phase = 0 if free else bars.phase(last) % bars.length
        whole = not free and (at - begin) % bars.length == 0
        columns["bar_opening"].append(float(not free and phase == opening))
        columns["bar_opening_half"].append(
            float(not free and 2 * ((phase - opening) % bars.length) == bars.length)
        )
        columns["bar_downbeat_last"].append(float(not free and last_phase == 0))
        columns["bar_half_last"].append(float(not free and 2 * last_phase == bars.length))
        columns["bar_downbeat_next"].append(float(not free and phase == 0))
        columns["bar_line"].append(float(not free and at in bars.lines))
        columns["bar_free_line"].append(float(free and at in bars.lines))
        columns["bars2"].append(float(whole and (at - begin) // bars.length % 2 == 0))
        columns["bars4"].append(float(whole and (at - begin) // bars.length % 4 == 0))
        share = (at - begin) / total
        columns["half"].append(float(share == 0.5))
        columns["quarter"].append(float(share in (0.25, 0.75)))
        columns["third"].append(float((at - begin) * 3 % total == 0))
        columns["popular"].append(phases.count(phase) / len(phases) if not free else 0.0)
    return columns


def _round_length(length: int, bar: int) -> int:
    """The tune's length in whole bars, its last note filled up to where it would begin again."""
    return -(-length // bar) * bar if bar else length


def _printed(line: Line, bars: Bars) -> Columns:
    marks = {line.starts[b]: line.notes[line.last_note[b - 1]] for b in range(1, line.count)}
    firsts = line.first_note
    spans = [line.notes[firsts[b - 1] : line.last_note[b - 1] + 1] for b in range(1, line.count)]
    return {
        "sign": [float(at in bars.signs) for at in marks],
        "fermata": [float(any(n.fermata for n in span)) for span in spans],
        "breath": [float(any(n.breath for n in span)) for span in spans],
    }


class Texture:
    """All voices, to be asked what sounds at a tick."""

    def __init__(self, line: Line) -> None:
        self.voices = (line.notes, *line.others)
        self._starts = [[note.start for note in voice] for voice in self.voices]

    def at(self, tick: int) -> list[Struck | None]:
        """The note of each voice that sounds at `tick`, high to low."""
        found: list[Struck | None] = []
        for voice, starts in zip(self.voices, self._starts, strict=True):
            index = bisect_right(starts, tick) - 1
            note = voice[index] if index >= 0 else None
            found.append(note if note and note.end > tick else None)
        return found

    def before(self, voice: int, tick: int) -> Struck | None:
        """The last note of a voice that began before `tick`."""
        index = bisect_right(self._starts[voice], tick - 1) - 1
        return self.voices[voice][index] if index >= 0 else None


_TRIADS = ((0, 4, 7), (0, 3, 7))


def is_root_triad(pitches: Sequence[int]) -> bool:
    """Whether the pitches make a major or minor triad on their lowest, the fifth optional."""
    root = min(pitches)
    classes = {(pitch - root) % OCTAVE for pitch in pitches}
    return len(classes) > 1 and any(
        classes <= set(triad) and triad[1] in classes for triad in _TRIADS
    )


def _harmony(line: Line) -> Columns:
    texture = Texture(line)
    final = [n.pitch for n in texture.at(line.starts[-1] - 1) if n] or [line.notes[-1].pitch]
    tonic = min(final) % OCTAVE
    columns: Columns = {
        name: []
        for name in (
            "triad",
            "triad_tonic",
            "triad_dominant",
            "triad_other",
            "bass_fifth",
            "bass_step",
            "bass_fourth",
            "bass_still",
            "degree_1",
            "degree_2",
            "degree_3",
            "degree_5",
            "degree_7",
            "melody_root",
            "end_triad",
        )
    }
    many = len(texture.voices) > 1
    for b in range(1, line.count):
        note = line.notes[line.last_note[b - 1]]
        chord = [n.pitch for n in texture.at(note.start) if n]
        ending = [n.pitch for n in texture.at(line.starts[b] - 1) if n] or chord
        triad = many and is_root_triad(chord)
        root = (min(chord) - tonic) % OCTAVE
        degree = (note.pitch - tonic) % OCTAVE
        low = len(texture.voices) - 1
        earlier, bass = texture.before(low, note.start), texture.at(note.start)[low]
        move = (bass.pitch - earlier.pitch) % OCTAVE if many and earlier and bass else -1
        columns["triad"].append(float(triad))
        columns["end_triad"].append(float(many and is_root_triad(ending)))
        columns["triad_tonic"].append(float(triad and root == 0))
        columns["triad_dominant"].append(float(triad and root == 7))
        columns["triad_other"].append(float(triad and root not in (0, 7)))
        columns["bass_fifth"].append(float(triad and move == 5))
        columns["bass_fourth"].append(float(triad and move == 7))
        columns["bass_step"].append(float(triad and move in (1, 2, 10, 11)))
        columns["bass_still"].append(float(move == 0))
        for name, degrees in (("1", (0,)), ("2", (2,)), ("3", (3, 4)), ("5", (7,)), ("7", (11,))):
            columns[f"degree_{name}"].append(float(degree in degrees))
        columns["melody_root"].append(float(triad and degree == root))
    return columns


def _texture(line: Line) -> Columns:
    texture = Texture(line)
    others = line.others
    starts = [frozenset(n.start for n in voice) for voice in others]
    columns: Columns = {
        "still": [],
        "still_long": [],
        "moving": [],
        "attack": [],
        "gap_all": [],
        "alone": [],
    }
    usual = median(last_lengths(line))
    for b in range(1, line.count):
        begin, end = line.notes[line.last_note[b - 1]].start, line.starts[b]
        resting = sum(not any(begin < s < end for s in voice) for voice in starts)
        share = resting / len(others) if others else 0.0
        long = end - begin > usual
        columns["still"].append(share)
        columns["still_long"].append(share if long else 0.0)
        columns["moving"].append((1 - share) if others else 0.0)
        columns["attack"].append(
            sum(end in voice for voice in starts) / len(others) if others else 0.0
        )
        columns["alone"].append(float(not others))
        columns["gap_all"].append(float(not any(texture.at(end - 1))))
    return columns


def _leaps(line: Line) -> Columns:
    columns: Columns = {
        name: []
        for name in (
            "leap",
            "leap_up",
            "leap_down",
            "leap_rank",
            "same_pitch",
            "step_in",
            "fall_in",
            "low",
        )
    }
    firsts, lasts = line.first_note, line.last_note
    moves = [
        abs(line.notes[firsts[b]].pitch - line.notes[lasts[b - 1]].pitch)
        for b in range(1, line.count)
    ]
    pitches = [n.pitch for n in line.notes]
    reach = max(1, max(pitches) - min(pitches))
    for b in range(1, line.count):
        end, start = line.notes[lasts[b - 1]].pitch, line.notes[firsts[b]].pitch
        before = line.notes[lasts[b - 1] - 1].pitch if lasts[b - 1] else end
        columns["leap"].append(min(moves[b - 1], OCTAVE) / OCTAVE)
        columns["leap_up"].append(float(start - end > 2))
        columns["leap_down"].append(float(end - start > 2))
        columns["leap_rank"].append(sum(m >= moves[b - 1] for m in moves) / len(moves))
        columns["same_pitch"].append(float(start == end))
        columns["step_in"].append(float(0 < abs(end - before) <= 2))
        columns["fall_in"].append(float(0 < before - end <= 2))
        columns["low"].append((end - min(pitches)) / reach)
    return columns
