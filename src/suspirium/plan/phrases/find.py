"""Finding the lines of a hymn.

Each boundary gets a score from what notes and words say there; dynamic programming finds
the best few ways to cut the whole melody; these are judged by how their lines answer one
another, and the one that agrees best with all likely ones is taken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate, pairwise

from suspirium.plan.phrases.bars import Bars, read_bars
from suspirium.plan.phrases.choose import end_chances, most_agreeing, probabilities
from suspirium.plan.phrases.evidence import boundary_evidence, strongest
from suspirium.plan.phrases.leanings import leanings
from suspirium.plan.phrases.line import Line, read_line
from suspirium.plan.phrases.model import Evidence, PhraseSpan
from suspirium.plan.phrases.music import Columns, music_columns
from suspirium.plan.phrases.returns import return_columns
from suspirium.plan.phrases.segment import Ends, Scores, best_segmentations
from suspirium.plan.phrases.spans import Spans, span_arrays
from suspirium.plan.phrases.style import florid_odds, style
from suspirium.plan.phrases.text import Juncture, read_junctures, rhyming_lines, text_columns
from suspirium.plan.phrases.weights import Weights, style_weights, weights
from suspirium.plan.phrases.whole import Whole
from suspirium.score.model import Hymn

KEEP = 20  # segmentations kept for each leaning
FAR = 14.0  # how far (in log-odds) a segmentation may lie below the likeliest by ends and lines


@dataclass(frozen=True, slots=True)
class Reading:
    """A melody with everything that its ends and lines are judged by."""

    line: Line
    bars: Bars
    junctures: tuple[tuple[Juncture | None, ...], ...]
    columns: Columns
    spans: Spans

    @property
    def kind(self) -> str:
        """Which weights hold: "words"; without any, "melody" for a single voice, "florid"
        for parts that move freely, else "notes"."""
        if self.junctures:
            return "words"
        if not self.line.others:
            return "melody"
        free = florid_odds(style(self.line, self.columns), style_weights()) > 0
        return "florid" if free else "notes"


def read_hymn(hymn: Hymn, *, words: bool = True) -> Reading | None:
    """The melody's units and what is to be said of them; None if there are not two."""
    line = read_line(hymn, words=words)
    if line.count < 2:
        return None
    bars = read_bars(hymn, line)
    junctures = read_junctures(line)
    columns = music_columns(line, bars) | return_columns(line)
    if junctures:
        columns |= text_columns(line, junctures)
    return Reading(line, bars, junctures, columns, span_arrays(line, bars))


def candidates(
    reading: Reading, known: Weights, scores: Scores
) -> tuple[list[Ends], list[list[float]]]:
    """Ways to cut the melody, none absurd by its ends and lines alone, and their features."""
    line, bars = reading.line, reading.bars
    ways = dict.fromkeys(best_segmentations(scores, leanings(line, bars), KEEP))
    for metre in known.metres.summing_to(line.count):
        ways[tuple(accumulate(metre[:-1]))] = None
    totals = {way: scores.total(way) for way in ways}
    least = max(totals.values()) - FAR
    likely = [way for way, total in totals.items() if total >= least]
    whole = Whole(line, bars, scores, reading.junctures, known.metres)
    return likely, [whole.features(way) for way in likely]


def find_phrases(hymn: Hymn, *, words: bool = True) -> tuple[PhraseSpan, ...]:
    """The lines of the poem in the melody, in written order; at least one.

    With `words` the stanzas are heard as well; without them, or where there are none,
    the notes alone decide.
    """
    reading = read_hymn(hymn, words=words)
    if reading is None:
        return (_whole_span(hymn),)
    line, known = reading.line, weights(reading.kind)
    scores = known.scores(reading.columns, reading.spans)
    ways, features = candidates(reading, known, scores)
    chances = probabilities(known.whole_scores(features) + scores.sign_scores(ways))
    chosen = most_agreeing(ways, chances)
    sure = [*end_chances(ways, chances, chosen), 1.0]
    why = [*_why(reading, known, chosen), (Evidence("close"),)]
    cuts = (0, *chosen, line.count)
    return tuple(
        _span(line, number, first, after, sure[number - 1], why[number - 1])
        for number, (first, after) in enumerate(pairwise(cuts), 1)
    )


def _why(reading: Reading, known: Weights, chosen: Ends) -> list[tuple[Evidence, ...]]:
    """The strongest evidence for each chosen end."""
    rhymes = rhyming_lines(reading.junctures, (*chosen, reading.line.count))
    found = []
    for number, end in enumerate(chosen, 1):
        here = boundary_evidence(reading.columns, {**known.ends, **known.signs}, end)
        if number in rhymes:
            partner, strength = rhymes[number]
            here.append((strength, Evidence("rhyme", partner)))
        found.append(strongest(here))
    return found


def _span(
    line: Line, number: int, first: int, after: int, sure: float, why: tuple[Evidence, ...]
) -> PhraseSpan:
    last = line.notes[line.last_note[after - 1]]
    scale = line.ticks_per_quarter
    return PhraseSpan(
        number=number,
        first_onset_q=Fraction(line.starts[first], scale),
        last_onset_q=Fraction(last.start, scale),
        written_q=Fraction(last.end - last.start, scale),
        end_q=Fraction(last.end, scale),
        confidence=round(min(1.0, sure), 3),
        evidence=why,
    )


def _whole_span(hymn: Hymn) -> PhraseSpan:
    """One line that is the whole melody, however little that is."""
    line = read_line(hymn, words=False)
    if line.notes:
        end = replace(
            line,
            starts=(line.starts[0], line.starts[-1]),
            first_note=(0,),
            last_note=(len(line.notes) - 1,),
        )
        return _span(end, 1, 0, 1, 1.0, (Evidence("close"),))
    end_q = hymn.measures[-1].end_q if hymn.measures else Fraction(0)
    return PhraseSpan(1, Fraction(0), Fraction(0), end_q, end_q, 1.0, (Evidence("close"),))
