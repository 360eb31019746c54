"""Following a recording through the chords of a hymn.

A hidden semi-Markov model (segments with explicit durations, decoded by dynamic
programming): chords whose length the tempo foretells, silences after lines, jumps between
stanzas and where the player stopped, and whatever is no part of the hymn before, between
and after.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suspirium.tables import load
from suspirium.take.path import Chords
from suspirium.take.sound.bands import FRAME_S, Array, Floats

SILENCE, OUTSIDE = -2, -1
_NEXT, _SKIP, _JUMP, _ENTER = range(4)
_PIECE = 2048  # frames reckoned at once


@dataclass(frozen=True, slots=True)
class Segment:
    """Frames `start` to `stop` belong to chord `chord` (or `SILENCE`, `OUTSIDE`);
    `jumped` where it does not follow on."""

    start: int
    stop: int
    chord: int
    jumped: bool = False


@dataclass(frozen=True, slots=True)
class Scores:
    """Scores of some frames: of each chord, of its beginning there and of a lift out of it
    (frames, chords)."""

    chords: Floats
    begins: Floats
    silence: Floats


@dataclass(frozen=True, slots=True)
class Evidence:
    """Scores a frame, reckoned piece by piece so that memory stays flat: unit feature rows, the
    share of the usual level, the rise of each band, templates of whole chords, of the keys
    struck in them and of chords whose melody has lifted; `outside` is the score of anything
    else (frames)."""

    features: Floats
    level: Array
    rises: Floats
    templates: Array
    struck: Array
    lifted: Array
    outside: Array

    def scores(self, start: int, stop: int) -> Scores:
        """Those of the frames `start` to `stop`."""
        table = load("take")
        sharp = table.number("sound.sharpness")
        features = self.features[start:stop]
        loud = self.level[start:stop, None].astype(np.float32)
        quiet = 1 - loud
        likeness = _like(features, self.templates)
        chords = sharp * (loud * likeness + quiet * table.number("sound.quiet_chord"))
        part = loud * _like(features, self.lifted) * table.number("sound.part_lift")
        silence = sharp * (quiet * table.number("sound.silence") + part)
        rising = np.minimum(1, _like(self.rises[start:stop], self.struck))
        begins = table.number("sound.begins") * rising
        return Scores(_single(chords), _single(begins), _single(silence))


def evidence(
    features: Floats, level: Array, rises: Floats, templates: Array, struck: Array, lifted: Array
) -> Evidence:
    """The evidence of a recording (see `Evidence`)."""
    table = load("take")
    best = np.zeros(len(features))
    mean = np.zeros(len(features))
    for start in range(0, len(features), _PIECE):
        likeness = _like(features[start : start + _PIECE], templates)
        best[start : start + _PIECE] = likeness.max(1)
        mean[start : start + _PIECE] = likeness.mean(1, dtype=np.float64)
    sounding = level > 0.5
    usual = float(np.median(best[sounding])) if sounding.any() else 1.0
    # Silence before and after the hymn is no part of it either, and noise is like all chords.
    hush = (1 - level) * table.number("sound.silence")
    noise = level * (mean + table.number("sound.noise_apart"))
    other = table.number("sound.outside") * usual
    outside = table.number("sound.sharpness") * np.maximum(other, np.maximum(noise, hush))
    return Evidence(features, level, rises, templates, struck, lifted, outside)


def _like(rows: Floats, templates: Array) -> Floats:
    return _single(rows @ templates.T.astype(np.float32))


def _single(rows: NDArray[np.floating[Any]]) -> Floats:
    """Single precision is enough where there are many frames."""
    return rows.astype(np.float32, copy=False)


def follow(
    chords: Chords, seen: Evidence, lengths_s: Array, spread: float
) -> tuple[tuple[Segment, ...], float]:
    """The best segments and their score; `lengths_s` are the expected chord lengths and
    `spread` the standard deviation of the logarithm of their true ones."""
    return _Follower(chords, seen, lengths_s, spread).run()


class _Lifts:
    """What it brings that a chord is silent from its best frame on, for each of its durations.

    Once silent it stays so: a chord that is struck again after a lift is a new one.
    """

    def __init__(self, durations: NDArray[np.int64]) -> None:
        self.places = np.arange(len(durations))[:, None], durations - 1
        reach = int(durations.max(initial=1))
        self.sums = np.zeros((len(durations), reach))  # of the last frames, the latest first

    def gains(self, gain: Array) -> Array:
        """With the latest frame's `gain` of silence over sound: (chords, durations)."""
        self.sums[:, 1:] = self.sums[:, :-1]
        self.sums[:, 0] = 0.0
        self.sums += gain[:, None]
        best = np.maximum.accumulate(self.sums, axis=1)
        gains: Array = np.maximum(0.0, best[self.places])
        return gains


class _Follower:
    """The tables of the dynamic programme; frame t is the boundary before frame t's sound."""

    def __init__(self, chords: Chords, seen: Evidence, lengths_s: Array, spread: float) -> None:
        table = load("take")
        self.seen = seen
        count, frames = len(chords), len(seen.outside)
        self.pause = np.array([chord.closes for chord in chords.chords]) | chords.last
        self.ends = chords.last
        self.follows = np.concatenate([[False], chords.way[1:] == chords.way[:-1]])
        weight = table.number("sound.jump_weight")
        self.leave, self.enter = weight * chords.leave, weight * chords.enter
        self.skip = weight * table.number("sound.skip")
        # A line's last chord and its lift are one segment: together they last as foretold.
        self.lifting = np.flatnonzero(self.pause & ~chords.last)
        steps = np.linspace(-2.5, 2.5, int(table["sound.durations"]))
        free = np.where(self.pause, table.number("sound.pause_spread"), 1.0)
        free[chords.last] = table.number("sound.last_spread")
        ratios = np.exp(spread * free[:, None] * steps)
        self.durations = np.maximum(2, np.rint(lengths_s[:, None] / FRAME_S * ratios)).astype(int)
        usual = -0.5 * (free[:, None] * steps) ** 2
        seldom = table.number("sound.seldom") - 0.5 * steps**2
        self.prior = np.where(self.pause[:, None], np.maximum(usual, seldom), -0.5 * steps**2)
        self.chosen = np.zeros((frames + 1, count), dtype=np.int8)
        self.source = np.zeros((frames + 1, count), dtype=np.int8)
        self.jumped_from = np.zeros(frames + 1, dtype=np.int32)
        self.went_silent = np.zeros((frames + 1, count), dtype=bool)  # a silence begins here
        self.silent_end = np.zeros((frames + 1, count), dtype=bool)  # best left from a silence
        self.went_out = np.zeros(frames + 1, dtype=bool)

    def run(self) -> tuple[tuple[Segment, ...], float]:
        """Fills the tables and reads the best way back."""
        frames, count = len(self.seen.outside), len(self.pause)
        reach = int(self.durations.max()) + 1
        columns = np.arange(count)
        begun = np.full((reach, count), -np.inf)  # score at a beginning less the sum so far
        begun[0] = -self.enter
        self.source[0] = _ENTER
        total = np.zeros(count)
        ended = silent = np.full(count, -np.inf)
        out = 0.0
        self.went_out[0] = True
        lifts = _Lifts(self.durations[self.lifting])
        next_may = self.follows[1:]
        skip_may = next_may[1:] & next_may[:-1]
        options = np.full((4, count), -np.inf)  # what can't follow stays so
        here, base = self.seen.scores(0, _PIECE + 1), 0  # of frames from `base` on
        for t in range(1, frames + 1):
            if t - base > _PIECE:
                base = t - 1
                here = self.seen.scores(base, base + _PIECE + 1)
            sounds, quiet = here.chords[t - 1 - base], here.silence[t - 1 - base]
            total = total + sounds
            starts = np.where(self.ends, ended, -np.inf)
            self.went_silent[t - 1] = starts > silent
            silent = np.maximum(silent, starts) + quiet
            when = t - self.durations
            values = begun[when % reach, columns[:, None]] + self.prior
            gain = quiet[self.lifting] - sounds[self.lifting]
            values[self.lifting] += lifts.gains(gain)
            values[when < 0] = -np.inf
            self.chosen[t] = values.argmax(1)
            ended = total + values[columns, self.chosen[t]]
            self.silent_end[t] = silent > ended
            left = np.maximum(silent, ended)
            leaving = left - self.leave
            best = int(leaving.argmax())
            self.jumped_from[t] = best
            out += float(self.seen.outside[t - 1])
            if leaving[best] > out:
                self.went_out[t], out = True, float(leaving[best])
            np.copyto(options[_NEXT, 1:], left[:-1], where=next_may)
            np.copyto(options[_SKIP, 2:], left[:-2] - self.skip, where=skip_may)
            options[_JUMP] = leaving[best] - self.enter
            options[_ENTER] = out - self.enter
            self.source[t] = options.argmax(0)
            begun[t % reach] = options[self.source[t], columns] - total
            if t < frames:
                begun[t % reach] += here.begins[t - base]
        leaving = np.maximum(silent, ended) - self.leave
        best = int(leaving.argmax())
        if leaving[best] > out:
            return self._back(frames, best), float(leaving[best])
        return self._back(frames, OUTSIDE), out

    def _back(self, t: int, at: int) -> tuple[Segment, ...]:
        """From boundary `t`, where chord `at` (its silence included) or the outside ended."""
        segments: list[Segment] = []
        while t > 0:
            if at == OUTSIDE:
                stop = t
                while not self.went_out[t]:
                    t -= 1
                if t < stop:
                    segments.append(Segment(t, stop, OUTSIDE))
                if t == 0:
                    break
                at = int(self.jumped_from[t])
            if self.silent_end[t, at]:
                stop, t = t, t - 1
                while not self.went_silent[t, at]:
                    t -= 1
                segments.append(Segment(t, stop, SILENCE))
            stop = t
            t -= int(self.durations[at, self.chosen[t, at]])
            how = int(self.source[t, at])
            segments.append(Segment(t, stop, at, jumped=how in (_JUMP, _ENTER)))
            if how == _NEXT:
                at -= 1
            elif how == _SKIP:
                at -= 2
            elif how == _JUMP:
                at = int(self.jumped_from[t])
            else:
                at = OUTSIDE
        return tuple(reversed(segments))
