"""Checks of a hymn, whatever file it came from.

What still allows a plan is a `Remark`; what doesn't is a `ScoreError`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import groupby, pairwise

from suspirium.errors import Place, Remark, ScoreError
from suspirium.score.model import Hymn, Measure, TimeSignature, Voice
from suspirium.score.naming import FOUR_PARTS
from suspirium.score.order import passages
from suspirium.score.repeats import sections
from suspirium.score.sounding import measure_at, time_at
from suspirium.score.spoken import quarters
from suspirium.score.turns import repeated_words, rounds, stanza_numbers
from suspirium.score.word_checks import check_words


def checked(hymn: Hymn) -> Hymn:
    """The hymn with the remarks of `check` added to its own. Raises `ScoreError`."""
    return replace(hymn, remarks=(*hymn.remarks, *check(hymn)))


def check(hymn: Hymn) -> tuple[Remark, ...]:
    """Everything an organist should know about the score before trusting its plan.

    Raises `ScoreError` where there are no notes to plan, or where the voices are of so
    different length that what sounds together can't be told.
    """
    if not hymn.measures or hymn.end_q <= 0:
        raise ScoreError("The score has no measures: there is nothing to plan.")
    if not any(note.pitches for voice in hymn.voices for note in voice.notes):
        raise ScoreError("The score has no notes: there is nothing to plan.")
    return (
        *_missing_voices(hymn),
        *_lengths(hymn),
        *_measures(hymn),
        *_joints(hymn),
        *_unplayed(hymn),
        *_repeats(hymn),
        *check_words(hymn),
    )


def _missing_voices(hymn: Hymn) -> Iterator[Remark]:
    names = [voice.name for voice in hymn.voices]
    missing = [name for name in FOUR_PARTS if name not in names]
    if missing and len(names) < len(FOUR_PARTS):
        *others, last = missing
        text = f"{', '.join(others)} and {last} are missing." if others else f"{last} is missing."
        yield Remark(text.capitalize())


def _lengths(hymn: Hymn) -> Iterator[Remark]:
    """Voices of another length than most: an error, except within the last measure."""
    ends = {v.name: v.notes[-1].end_q if v.notes else Fraction(0) for v in hymn.voices}
    common_q = max(ends.values(), key=lambda q: (list(ends.values()).count(q), q))
    last = max(m.onset_q for m in hymn.measures if m.onset_q < common_q)
    for voice in hymn.voices:
        over_q = ends[voice.name] - common_q
        if over_q == 0:
            continue
        way = "longer" if over_q > 0 else "shorter"
        text = f"this voice is {quarters(abs(over_q))} {way} than the others"
        if over_q > 0 or ends[voice.name] <= last:
            place = Place(_first_astray(hymn, voice), voice.name)
            raise ScoreError(f"{text}; correct the bar where it leaves them.", place)
        yield Remark(f"{text}.", Place(measure_at(hymn, last).number, voice.name))


def _first_astray(hymn: Hymn, voice: Voice) -> int:
    """Number of the first measure that the voice leaves at another time than its barline."""
    onsets = {q for note in voice.notes for q in (note.onset_q, note.end_q)}
    for measure, after in pairwise(hymn.measures):
        if after.onset_q not in onsets:
            return measure.number
    return hymn.measures[-1].number


def _measures(hymn: Hymn) -> Iterator[Remark]:
    """Bars that are shorter or longer than the time signature asks for, like ones together."""
    for (lack_q, time), bars in groupby(_odd_bars(hymn), key=lambda odd: odd[1:]):
        numbers = [number for number, _, _ in bars]
        way = "short of" if lack_q > 0 else "over"
        where = "" if len(numbers) == 1 else f" here and in {len(numbers) - 1} more bars"
        text = f"{quarters(abs(lack_q))} {way} the {time} of the time signature{where}."
        yield Remark(text, Place(measure=numbers[0]))


def _odd_bars(hymn: Hymn) -> Iterator[tuple[int, Fraction, TimeSignature]]:
    """Number, lacking length and time of the bars that don't add up.

    A pickup may be short, and so may a bar that opens a repeated section and the bar that
    closes it.
    """
    openings = {hymn.pickup_q} | {m.duration_q for m in hymn.measures if m.repeat_start}
    for bar in _bars(hymn):
        time = time_at(hymn, bar[0].onset_q)
        if time is None:
            continue
        lack_q = time.bar_q - sum((measure.duration_q for measure in bar), Fraction(0))
        closes = bar[-1] is hymn.measures[-1] or bar[-1].repeat_end or bool(bar[-1].endings)
        opens = bar[0].number == 0 or bar[0].repeat_start
        allowed = (opens and lack_q > 0) or (closes and lack_q in openings)
        if lack_q != 0 and not allowed:
            yield bar[0].number, lack_q, time


def _bars(hymn: Hymn) -> Iterator[list[Measure]]:
    """Measures, those that together are one bar taken together."""
    bar: list[Measure] = []
    for measure in hymn.measures:
        if bar and not measure.continues:
            yield bar
            bar = []
        bar.append(measure)
    yield bar


def _joints(hymn: Hymn) -> Iterator[Remark]:
    """Voices whose notes overlap or leave holes, or run over a barline; first place each."""
    barlines = {measure.onset_q for measure in hymn.measures}
    for voice in hymn.voices:
        for before, note in pairwise(voice.notes):
            if before.end_q != note.onset_q:
                what = "overlap" if before.end_q > note.onset_q else "leave a hole"
                text = f"two notes {what} by {quarters(abs(note.onset_q - before.end_q))}."
                yield Remark(text, Place(measure_at(hymn, before.onset_q).number, voice.name))
                break
        missing = barlines - {note.onset_q for note in voice.notes}
        crossed = [q for q in missing if q < voice.notes[-1].end_q] if voice.notes else []
        if crossed:
            before_q = max(m.onset_q for m in hymn.measures if m.onset_q < min(crossed))
            text = "a note runs over the barline after this measure; write it as two tied notes."
            yield Remark(text, Place(measure_at(hymn, before_q).number, voice.name))


def _unplayed(hymn: Hymn) -> Iterator[Remark]:
    """Measures under an ending to which neither a repeat nor a stanza leads."""
    if not passages(hymn):
        raise ScoreError("No bar is ever played: its endings have no repeat that leads to them.")
    differ = any(section.endings for section in rounds(hymn))
    numbers = (None, *(stanza_numbers(hymn) if differ else ()))
    played = {part for number in numbers for part in passages(hymn, number)}
    for measure in hymn.measures:
        if not any(part.start_q <= measure.onset_q < part.end_q for part in played):
            text = "this ending is never played; no repeat sign leads to it."
            yield Remark(text, Place(measure=measure.number))


def _repeats(hymn: Hymn) -> Iterator[Remark]:
    """What a repeat means where it is not simply played twice in every stanza."""
    onward = rounds(hymn)
    for section in sections(hymn.measures):
        place = Place(measure=hymn.measures[section.first].number)
        if section in onward:
            text = "the repeat that begins here leads to the next stanza; each sings it once"
            if section.endings:
                text += ", with the ending of its number, the last stanza with the last ending"
            yield Remark(f"{text}.", place)
        elif section.span == repeated_words(hymn):
            text = (
                "the two lines of words in the repeat that begins here are read as one stanza's "
                "first and second time."
            )
            yield Remark(text, place)
        elif section.turns > 2:
            text = f"the section that begins here is played {section.turns} times in every stanza."
            yield Remark(text, place)
