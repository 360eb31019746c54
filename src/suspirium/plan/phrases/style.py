"""Whether the parts of a hymn move together or freely, as those of a chorale do.

Where the lower voices run on under the melody a standing chord says more about the end of
a line, and a long note less: other weights hold then.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from statistics import mean, median

from suspirium.plan.phrases.line import Line
from suspirium.plan.phrases.music import Columns

INTERCEPT = "intercept"
MEANS = ("still", "triad", "bass_fifth", "bass_step")  # columns taken on average


def style(line: Line, columns: Columns) -> dict[str, float]:
    """What tells the styles apart, each 0 to 1."""
    found = {name: mean(columns[name]) for name in MEANS}
    found["together"] = together(line)
    lengths = [after - before for before, after in zip(line.starts, line.starts[1:], strict=False)]
    usual = median(lengths)
    found["equal"] = sum(length == usual for length in lengths) / len(lengths)
    return found


def together(line: Line) -> float:
    """Share of the voices that strike at an onset, on average; 1 for a single voice."""
    voices = (line.notes, *line.others)
    onsets = Counter(note.start for voice in voices for note in voice)
    return sum(onsets.values()) / len(onsets) / len(voices)


def florid_odds(found: Mapping[str, float], weights: Mapping[str, float]) -> float:
    """Logarithm of the odds that the parts move freely."""
    return weights[INTERCEPT] + sum(weights[name] * value for name, value in found.items())
