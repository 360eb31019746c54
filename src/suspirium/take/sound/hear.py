"""Hearing a recording: from sound to the chords of a hymn, in three passes.

The first knows the hymn's keys and the plan's tempo and finds the tempo; the second finds
the chords; the third has learnt from them how this instrument looks in this room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

import numpy as np

from suspirium.errors import TakeError
from suspirium.tables import load
from suspirium.take.expected import Way
from suspirium.take.path import Chords
from suspirium.take.sound.bands import (
    FRAME_S,
    Array,
    Floats,
    band_energies,
    reverberation,
    tuning,
)
from suspirium.take.sound.features import features
from suspirium.take.sound.follow import OUTSIDE, SILENCE, Segment, evidence, follow
from suspirium.take.sound.templates import (
    chord_templates,
    sounding,
    struck,
    unit,
    without_melody,
)


@dataclass(frozen=True, slots=True)
class Heard:
    """The segments of a recording, how its instrument is tuned and its room decays.

    `course` tells how far the recording goes the way of the hymn: the share of a stanza
    that a chord's run of chords without a jump has on average, less twice the spread of
    their lengths (standard deviation of the logarithm): 1 for an even playing without a
    stop, about 0 for another hymn.
    """

    segments: tuple[Segment, ...]
    tuning_cents: float
    rt_s: float
    quarter_s: float
    course: float
    transposed: int

    @property
    def holes(self) -> tuple[tuple[float, float], ...]:
        """What is no part of the hymn between two of its segments: since when, and how long,
        in seconds."""
        return tuple(
            (before.stop * FRAME_S, (after.start - before.stop) * FRAME_S)
            for before, after in pairwise(self.segments)
            if after.start > before.stop
        )


def hear(sound: Floats, ways: Sequence[Way], quarter_s: float, closing_q: float) -> Heard:
    """Follows `sound` through the hymn; `closing_q` is how long a stanza's last chord lasts.

    Raises `TakeError` where only noise is heard.
    """
    table = load("take")
    cents = tuning(sound)
    energies = band_energies(sound, cents)
    rt_s = reverberation(energies)
    rows, level, rises = features(energies, rt_s)
    del energies  # long recordings are large
    _refuse_noise(rows[level > 0.5], chord_templates(sounding(ways)))
    chords = Chords(ways)
    lengths_q = _lengths_q(chords, closing_q)
    transposed = _transposed(rows[level > 0.5], chord_templates(sounding(ways)))
    templates = chord_templates(_moved(sounding(ways), transposed))
    entering = chord_templates(_moved(struck(ways), transposed))
    lower = without_melody(ways, transposed)
    spread = table.number("sound.spread_first")
    for learn in (False, True, False):
        lifted = unit(templates * lower)
        seen = evidence(rows, level, rises, templates, entering, lifted)
        segments, _ = follow(chords, seen, lengths_q * quarter_s, spread)
        quarter_s = _quarter_s(chords, segments) or quarter_s
        spread = table.number("sound.spread")
        if learn:
            templates = _learnt(rows, level, segments, templates, sounding(ways))
    segments = of_the_hymn(chords, segments, quarter_s)
    segments = surely_of_the_hymn(chords, segments)
    quarter_s = _quarter_s(chords, segments) or quarter_s
    course = _course(chords, segments, quarter_s)
    return Heard(segments, cents, rt_s, quarter_s, course, transposed)


def _refuse_noise(rows: Floats, templates: Array) -> None:
    """Noise looks like every chord alike; in music, whatever it is, some stand out.

    It is enough that they do for a while.
    """
    table = load("take")
    likeness = rows @ templates.T.astype(np.float32)
    apart = likeness.max(1) - likeness.mean(1)
    window = round(table.number("sound.apart_s") / FRAME_S)
    pieces = np.array_split(apart, max(1, len(apart) // window)) if len(apart) else []
    if max((float(np.median(piece)) for piece in pieces), default=1.0) < table.number(
        "sound.least_apart"
    ):
        raise TakeError("only noise is heard in this recording, no organ; check the microphone")


def _some(features: Floats) -> Floats:
    """Frames from all over a recording, enough to judge it by."""
    return features[:: max(1, len(features) // int(load("take")["sound.transposed_frames"]))]


def of_the_hymn(
    chords: Chords, segments: Sequence[Segment], quarter_s: float
) -> tuple[Segment, ...]:
    """The segments without the runs of chords before, between and after the hymn that do not
    go its way: what other music there was still took for its nearest chords."""
    kept: list[Segment] = []
    resumed = _resumed(segments)
    for outside, stretch in groupby(resumed, key=lambda segment: segment.chord == OUTSIDE):
        runs = [] if outside else _runs(tuple(stretch))
        astray = [_course(chords, run, quarter_s) <= 0 for run in runs]
        while astray and astray[0]:
            del runs[0], astray[0]
        while astray and astray[-1]:
            del runs[-1], astray[-1]
        kept += [segment for run in runs for segment in run]
    return tuple(kept)


def surely_of_the_hymn(chords: Chords, segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """Of a long recording, in which much else may be played, only those stretches that surely
    go the hymn's way, each at its own tempo; all if none does or there is only one."""
    table = load("take")
    apart = table.number("sound.hymns_apart_s") / FRAME_S
    sounding_ones = [segment for segment in segments if segment.chord >= 0]
    stretches: list[list[Segment]] = [[]]
    for segment in sounding_ones:
        if stretches[-1] and segment.start - stretches[-1][-1].stop > apart:
            stretches.append([])
        stretches[-1].append(segment)
    sure = []
    for stretch in stretches:
        own_s = _quarter_s(chords, stretch)
        if own_s and _course(chords, stretch, own_s) >= table.number("sound.least_course"):
            sure.append((stretch[0].start, stretch[-1].stop))
    if not sure or len(sure) == len(stretches):
        return segments
    return tuple(s for s in segments if any(a <= s.start and s.stop <= b for a, b in sure))


def _resumed(segments: Sequence[Segment]) -> list[Segment]:
    """The segments with what lies outside taken for a pause where the hymn goes on after it
    just where it had stopped; and for silence a chord heard once more after it had ended, by
    itself: its echo."""
    found = list(segments)
    chords = [at for at, segment in enumerate(found) if segment.chord >= 0]
    for index in range(1, len(chords)):
        before, at = chords[index - 1 : index + 1]
        alone = index + 1 == len(chords) or found[chords[index + 1]].jumped
        if alone and found[at].jumped and found[at].chord == found[before].chord:
            found[at] = replace(found[at], chord=SILENCE)
    chords = [at for at in chords if found[at].chord >= 0]
    for before, after in pairwise(chords):
        if found[before].chord + 1 != found[after].chord:
            continue
        for at in range(before + 1, after):
            found[at] = replace(found[at], chord=SILENCE)
        found[after] = replace(found[after], jumped=False)
    return found


def _runs(segments: Sequence[Segment]) -> list[list[Segment]]:
    """Segments that follow on from one another, the silences after them included."""
    runs: list[list[Segment]] = []
    for segment in segments:
        if segment.chord >= 0 and (segment.jumped or not runs):
            runs.append([])
        if runs:
            runs[-1].append(segment)
    return runs


def _course(chords: Chords, segments: Sequence[Segment], quarter_s: float) -> float:
    runs = [sum(one.chord >= 0 for one in run) for run in _runs(segments)]
    lengths = _quarter_lengths(chords, segments)
    if not runs or not lengths:
        return 0.0
    stanza = max(np.bincount(chords.way))
    share = sum(run**2 for run in runs) / sum(runs) / stanza
    spread = 1.4826 * float(np.median(np.abs(np.log(np.array(lengths) / quarter_s))))
    return float(share - 2 * spread)


def _moved(keys: Sequence[Sequence[int]], by: int) -> list[tuple[int, ...]]:
    return [tuple(key + by for key in chord) for chord in keys]


def _transposed(features: Floats, templates: Array) -> int:
    """Semitones by which the hymn's keys are moved in this recording.

    For each transposition the frames' best likeness to any chord; the plan's own key wins
    unless another is clearly better.
    """
    table = load("take")
    if not len(features):
        return 0
    some = _some(features)
    most = int(table["sound.transposed_most"])
    fits = {}
    for by in range(-most, most + 1):
        moved = np.zeros_like(templates)
        if by >= 0:
            moved[:, by:] = templates[:, : templates.shape[1] - by]
        else:
            moved[:, :by] = templates[:, -by:]
        fits[by] = float((some @ unit(moved).T).max(1).mean())
    best = max(fits, key=lambda by: fits[by])
    return best if fits[best] > fits[0] + table.number("sound.transposed_gain") else 0


def _lengths_q(chords: Chords, closing_q: float) -> Array:
    steps = np.append(np.diff(chords.onset_q), closing_q)
    return np.asarray(np.where(chords.last, closing_q, steps))


def _quarter_s(chords: Chords, segments: Sequence[Segment]) -> float | None:
    """Seconds of a quarter: the median over chords that lead to the next within a line."""
    lengths = _quarter_lengths(chords, segments)
    return float(np.median(lengths)) if lengths else None


def _quarter_lengths(chords: Chords, segments: Sequence[Segment]) -> list[float]:
    return [
        (after.start - before.start)
        * FRAME_S
        / float(chords.onset_q[after.chord] - chords.onset_q[before.chord])
        for before, after in pairwise(segments)
        if before.chord >= 0
        and after.chord == before.chord + 1
        and not after.jumped
        and not chords.chords[after.chord].opens
    ]


def _learnt(
    features: Floats,
    level: Array,
    segments: Sequence[Segment],
    templates: Array,
    keys: Sequence[tuple[int, ...]],
) -> Array:
    """Templates mixed with the mean of what was heard for each chord, its edges left out.

    Chords of the same keys are one: else a line that comes again would look like the place
    that it was first taken for.
    """
    table = load("take")
    weight = table.number("sound.first_template_s") / FRAME_S
    first = {chord: index for index, chord in reversed(list(enumerate(keys)))}
    alike = np.array([first[chord] for chord in keys])
    sums = templates * weight
    edge = round(table.number("sound.edge_s") / FRAME_S)
    for segment in segments:
        if segment.chord < 0:
            continue
        start, stop = segment.start + edge, segment.stop - edge
        if stop > start:
            loud = level[start:stop, None]
            sums[alike[segment.chord]] += (features[start:stop] * loud).sum(0)
    return unit(sums[alike])
