"""What a whole segmentation is like: its lines beside one another.

Lines of a hymn answer each other: in syllables, in beats, in rhythm, in tune, in rhyme.
None of that is seen at one boundary alone.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from math import log

from suspirium.plan.phrases.bars import Bars
from suspirium.plan.phrases.line import Line
from suspirium.plan.phrases.metres import Metres
from suspirium.plan.phrases.rhyme import rhyme
from suspirium.plan.phrases.segment import LONGEST, Ends, Scores
from suspirium.plan.phrases.text import Juncture

NAMES = (
    "score",
    "ends",
    "lines",
    "lines_log",
    "lines_even",
    "lines_four",
    "weakest",
    "missed",
    "units_distinct",
    "units_alone",
    "units_next",
    "units_second",
    "units_half",
    "units_period",
    "units_mean",
    "units_odd_last",
    "time_distinct",
    "time_alone",
    "time_next",
    "time_second",
    "time_half",
    "time_period",
    "time_bars",
    "time_two_bars",
    "time_mean",
    "time_four_bars",
    "phase_opening",
    "phase_distinct",
    "phase_half",
    "rhythm_best",
    "rhythm_next",
    "rhythm_second",
    "rhythm_same",
    "tune_best",
    "tune_same",
    "tune_half",
    "close_distinct",
    "close_shorter",
    "close_inside",
    "rhyme_best",
    "rhyme_next",
    "rhyme_second",
    "rhyme_scheme",
    "rhyme_none",
    "rhyme_inside",
    "metre_known",
    "metre_refrain",
    "metre_near",
    "metre_any",
    "metre_pair",
)


class Whole:
    """Everything about one melody that its segmentations are judged by."""

    def __init__(
        self,
        line: Line,
        bars: Bars,
        scores: Scores,
        junctures: Sequence[Sequence[Juncture | None]],
        metres: Metres,
    ) -> None:
        self._line = line
        self._ends = scores.ends.tolist()
        self._lines = scores.lines
        self._metres = metres
        self._starts = list(line.starts)
        bar = bars.length
        length = line.starts[-1] - line.starts[0]
        if bar:
            self._starts[-1] = line.starts[0] + -(-length // bar) * bar
        self._bar = bar
        self._phases = [bars.phase(t) % bar if bar else 0 for t in line.starts[:-1]]
        self._rhythm = [b - a for a, b in zip(line.starts, line.starts[1:], strict=False)]
        self._pitches = [
            tuple(line.notes[i].pitch for i in range(a, b + 1))
            for a, b in zip(line.first_note, line.last_note, strict=True)
        ]
        self._words = [
            [j.last if j is not None and j.broken else "" for j in stanza] for stanza in junctures
        ]
        self._alike: dict[tuple[int, int, int, int], tuple[float, float]] = {}
        self._rhymes: dict[tuple[int, int], float] = {}
        self._total_missed = sum(max(0.0, end) for end in self._ends)

    def features(self, chosen: Ends) -> list[float]:
        """The values of `NAMES` for a segmentation."""
        cuts = (0, *chosen, self._line.count)
        spans = list(pairwise(cuts))
        values = self._ends_features(chosen, spans)
        values |= self._unit_features(spans)
        values |= self._time_features(spans)
        values |= self._alike_features(spans)
        values |= self._close_features(spans)
        values |= self._rhyme_features(cuts)
        return [values[name] for name in NAMES]

    def _ends_features(self, chosen: Ends, spans: list[tuple[int, int]]) -> dict[str, float]:
        scores = [self._ends[b - 1] for b in chosen]
        count = len(spans)
        taken = sum(max(0.0, score) for score in scores)
        return {
            "score": sum(scores)
            + sum(float(self._lines[a, min(b - a, LONGEST)]) for a, b in spans),
            "ends": sum(scores),
            "lines": float(count),
            "lines_log": log(count),
            "lines_even": float(count % 2 == 0),
            "lines_four": float(count % 4 == 0),
            "weakest": min(scores, default=0.0),
            "missed": self._total_missed - taken,
        }

    def _unit_features(self, spans: list[tuple[int, int]]) -> dict[str, float]:
        lengths = [b - a for a, b in spans]
        row = _row_features("units", lengths)
        row["units_mean"] = sum(lengths) / len(lengths) / 8
        row["units_odd_last"] = float(lengths[-1] not in lengths[:-1])
        metre = tuple(lengths)
        row["metre_known"] = self._metres.known(metre)
        row["metre_refrain"] = self._metres.with_refrain(metre)
        row["metre_near"] = self._metres.near(metre)
        row["metre_any"] = float(row["metre_known"] > 0)
        row["metre_pair"] = self._metres.side_by_side(metre)
        return row

    def _time_features(self, spans: list[tuple[int, int]]) -> dict[str, float]:
        lengths = [self._starts[b] - self._starts[a] for a, b in spans]
        row = _row_features("time", lengths)
        bar, count = self._bar, len(spans)
        usual = (self._starts[-1] - self._starts[0]) / self._line.count
        row["time_mean"] = sum(lengths) / count / usual / 8
        for name, bars in (("time_bars", 1), ("time_two_bars", 2), ("time_four_bars", 4)):
            row[name] = sum(n % (bars * bar) == 0 for n in lengths) / count if bar else 0.0
        phases = [self._phases[a] for a, _ in spans]
        row["phase_opening"] = phases.count(phases[0]) / count if bar else 0.0
        row["phase_distinct"] = (len(set(phases)) - 1) / count if bar else 0.0
        row["phase_half"] = (
            sum(2 * ((p - phases[0]) % bar) == bar for p in phases) / count if bar else 0.0
        )
        return row

    def _alike_features(self, spans: list[tuple[int, int]]) -> dict[str, float]:
        count = len(spans)
        best_rhythm = [0.0] * count
        best_tune = [0.0] * count
        following = second = half = 0.0
        for i in range(count):
            for j in range(i + 1, count):
                rhythm, tune = self._pair(*spans[i], *spans[j])
                best_rhythm[i] = max(best_rhythm[i], rhythm)
                best_rhythm[j] = max(best_rhythm[j], rhythm)
                best_tune[i] = max(best_tune[i], tune)
                best_tune[j] = max(best_tune[j], tune)
                following += rhythm if j - i == 1 else 0.0
                second += rhythm if j - i == 2 else 0.0
                half += tune if 2 * (j - i) == count else 0.0
        return {
            "rhythm_best": sum(best_rhythm) / count,
            "rhythm_same": sum(value == 1 for value in best_rhythm) / count,
            "rhythm_next": following / count,
            "rhythm_second": second / count,
            "tune_best": sum(best_tune) / count,
            "tune_same": sum(value == 1 for value in best_tune) / count,
            "tune_half": half / count,
        }

    def _pair(self, a: int, b: int, c: int, d: int) -> tuple[float, float]:
        """How alike two lines are in rhythm (but for the last note) and in tune, 0 to 1."""
        key = (a, b, c, d)
        if key not in self._alike:
            longer = max(b - a, d - c)
            rhythm = tune = 0
            for i in range(min(b - a, d - c)):
                last = a + i == b - 1 or c + i == d - 1
                rhythm += last or self._rhythm[a + i] == self._rhythm[c + i]
                tune += self._pitches[a + i] == self._pitches[c + i]
            self._alike[key] = (rhythm / longer, tune / longer)
        return self._alike[key]

    def _close_features(self, spans: list[tuple[int, int]]) -> dict[str, float]:
        """The last notes of the lines against one another and against what is inside."""
        count = len(spans)
        closes = [self._rhythm[b - 1] for _, b in spans[:-1]]
        inside = shorter = 0
        for a, b in spans[:-1]:
            within = self._rhythm[a : b - 1]
            longest = max(within, default=0)
            shorter += longest > self._rhythm[b - 1]
            inside += longest >= self._rhythm[b - 1]
        return {
            "close_distinct": (len(set(closes)) - 1) / count if closes else 0.0,
            "close_shorter": shorter / count,
            "close_inside": inside / count,
        }

    def _rhyme_features(self, cuts: Ends) -> dict[str, float]:
        ends = cuts[1:]
        count = len(ends)
        names = ("best", "next", "second", "scheme", "none", "inside")
        if not self._words:
            return {f"rhyme_{name}": 0.0 for name in names}
        best = [0.0] * count
        lags = [0.0] * count
        for i in range(count):
            for j in range(i + 1, min(count, i + 9)):
                value = self._rhyme(ends[i], ends[j])
                best[i] = max(best[i], value)
                best[j] = max(best[j], value)
                lags[j - i] += value
        return {
            "rhyme_best": sum(best) / count,
            "rhyme_none": sum(value < 0.3 for value in best) / count,
            "rhyme_next": lags[1] / count if count > 1 else 0.0,
            "rhyme_second": lags[2] / count if count > 2 else 0.0,
            "rhyme_scheme": max(lags[1:4], default=0.0) / count,
            "rhyme_inside": sum(best),
        }

    def _rhyme(self, one: int, other: int) -> float:
        """Mean over the stanzas of the rhyme of the words at two boundaries."""
        key = (one, other)
        if key not in self._rhymes:
            words = [(stanza[one - 1], stanza[other - 1]) for stanza in self._words]
            self._rhymes[key] = sum(rhyme(a, b) for a, b in words if a and b) / len(words)
        return self._rhymes[key]


def _row_features(name: str, lengths: Sequence[int]) -> dict[str, float]:
    """How regular a row of line lengths is."""
    count = len(lengths)
    counts = Counter(lengths)
    half = count // 2

    def lag(step: int) -> float:
        if step >= count or step < 1:
            return 0.0
        pairs = zip(lengths, lengths[step:], strict=False)
        return sum(a == b for a, b in pairs) / (count - step)

    return {
        f"{name}_distinct": (len(counts) - 1) / count,
        f"{name}_alone": sum(n == 1 for n in counts.values()) / count,
        f"{name}_next": lag(1),
        f"{name}_second": lag(2),
        f"{name}_half": lag(half) if count % 2 == 0 else 0.0,
        f"{name}_period": max(lag(step) for step in (1, 2, 3, 4, half)),
    }
