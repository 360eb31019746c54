"""Hypothesis strategies: random hymns that a score can say, in the readers' own form.

What a reader settles one way is drawn that way only: hidden rests stand alone, signs are
in the order of their table, a repeat closes with a final barline, credits are in the
order of MusicXML's elements, and every voice has a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from hypothesis import strategies as st

from suspirium.score.decorations import DECORATIONS, ordered
from suspirium.score.melisma import reached
from suspirium.score.model import (
    Annotation,
    Credit,
    Hymn,
    KeyChange,
    Measure,
    Note,
    Stanza,
    Syllable,
    TimeChange,
    TimeSignature,
    Voice,
)
from suspirium.score.naming import FOUR_PARTS
from suspirium.score.pitch import STEPS, Pitch
from suspirium.score.words import shared_refrains

Q = Fraction
TIMES = (
    TimeSignature(4, 4, "C"),
    TimeSignature(4, 4),
    TimeSignature(2, 2, "¢"),
    TimeSignature(3, 4),
    TimeSignature(3, 2),
    TimeSignature(6, 8),
    TimeSignature(9, 8),
    TimeSignature(6, 4),
    None,
)
MODES = ("major", "minor", "dorian", "phrygian", "lydian", "mixolydian")
VALUES_Q = (Q(4), Q(3), Q(2), Q(3, 2), Q(1), Q(3, 4), Q(1, 2), Q(1, 4))
TRIPLETS_Q = ((Q(1, 3), Q(1, 3), Q(1, 3)), (Q(2, 3), Q(1, 3)), (Q(1, 3), Q(2, 3)))
LAYOUTS = {
    1: ((0,),),
    2: ((0, 0), (0, 1)),
    3: ((0, 0, 1), (0, 1, 1), (0, 1, 2)),
    4: ((0, 0, 1, 1), (0, 1, 2, 3), (0, 0, 1, 2)),
}
CLEFS = ("treble", "bass", "alto", "tenor", "treble-8")
signs = st.lists(
    st.sampled_from(DECORATIONS), max_size=2, unique_by=lambda decoration: decoration.mei
).map(lambda found: ordered({decoration.name for decoration in found}))

pitches = st.builds(Pitch, st.sampled_from(STEPS), st.integers(-2, 2), st.integers(2, 6))
chords = st.lists(pitches, min_size=1, max_size=3, unique=True).map(
    lambda found: tuple(sorted(found, key=lambda pitch: (pitch.midi, pitch.diatonic)))
)
words = st.text("aäbcdèefghiłmnoœßuv’", min_size=1, max_size=5)
syllable_texts = st.builds(
    lambda first, second, mark: f"{first} {second}{mark}" if second else f"{first}{mark}",
    words,
    st.one_of(st.just(""), st.just(""), words),
    st.sampled_from(["", "", ",", ";", "!", ".”"]),
)
lines = st.lists(words, min_size=1, max_size=4).map(" ".join)
rarely = st.integers(0, 5).map(lambda n: n == 5)


@dataclass(frozen=True)
class _Frame:
    """Measures and the signatures over them."""

    measures: tuple[Measure, ...]
    times: tuple[TimeChange, ...]
    keys: tuple[KeyChange, ...]


@st.composite
def hymns(draw: st.DrawFn) -> Hymn:
    """A hymn of one to four voices with words, repeats and changes of all kinds."""
    frame = draw(frames())
    layout = draw(st.integers(1, 4).flatmap(lambda n: st.sampled_from(LAYOUTS[n])))
    clefs = draw(st.lists(st.sampled_from(CLEFS), min_size=4, max_size=4))
    voices = tuple(
        Voice(FOUR_PARTS[place], draw(notes_in(frame)), staff, clefs[staff])
        for place, staff in enumerate(layout)
    )
    stanzas = draw(stanzas_under(voices[0]))
    other = draw(stanzas_under(voices[-1])) if len(voices) > 1 and draw(rarely) else ()
    onsets = st.sampled_from([note.onset_q for note in voices[0].notes])
    texts = draw(st.lists(st.tuples(onsets, lines), max_size=2, unique=True))
    return Hymn(
        title=draw(lines),
        voices=voices,
        measures=frame.measures,
        times=frame.times,
        keys=frame.keys,
        stanzas=stanzas,
        other_words=other,
        plain_stanzas=tuple(
            draw(st.lists(st.lists(lines, min_size=1, max_size=3).map(tuple), max_size=2))
        ),
        refrains=shared_refrains(stanzas, frame.measures[-1].end_q),
        annotations=tuple(Annotation(*text) for text in sorted(texts)),
        tune=draw(st.one_of(st.just(""), words)),
        metre=draw(st.sampled_from(["", "8.6.8.6", "L.M. D."])),
        credits=draw(credit_lists),
        quarter_bpm=draw(st.one_of(st.none(), st.integers(300, 2000).map(lambda n: n / 10))),
    )


ROLES = ("title", "words", "music", "setting", "", "copyright", "source")
credit_lists = st.lists(
    st.builds(Credit, st.sampled_from(ROLES), lines), max_size=5, unique=True
).map(lambda found: tuple(sorted(found, key=lambda credit: _credit_rank(credit.role))))


def _credit_rank(role: str) -> int:
    return {"title": 0, "copyright": 2, "source": 3}.get(role, 1)


@st.composite
def frames(draw: st.DrawFn) -> _Frame:
    """A pickup or none, then bars, some of them split; signatures change at bars."""
    time = draw(st.sampled_from(TIMES))
    times, measures, now_q = [TimeChange(Q(0), time)], [], Q(0)
    keys = [KeyChange(Q(0), draw(st.integers(-7, 7)), draw(st.sampled_from(MODES)))]
    if time is not None and draw(st.booleans()):
        length_q = draw(st.sampled_from([q for q in (Q(1), Q(1, 2), Q(3, 2)) if q < time.bar_q]))
        measures.append(Measure(0, Q(0), length_q))
        now_q = length_q
    for number in range(1, draw(st.integers(1, 4)) + 1):
        if now_q and draw(rarely):
            time = draw(st.sampled_from([other for other in TIMES if other != time]))
            times.append(TimeChange(now_q, time))
        if now_q and draw(rarely):
            key = KeyChange(now_q, draw(st.integers(-7, 7)), draw(st.sampled_from(MODES)))
            if (key.fifths, key.mode) != (keys[-1].fifths, keys[-1].mode):
                keys.append(key)
        bar_q = time.bar_q if time else draw(st.sampled_from([Q(4), Q(7), Q(5, 2)]))
        first_q = draw(st.sampled_from([Q(1), Q(1, 2)])) if now_q and draw(rarely) else bar_q
        measures.append(Measure(number, now_q, first_q))
        if first_q < bar_q:
            measures.append(Measure(number, now_q + first_q, bar_q - first_q, continues=True))
        now_q += bar_q
    return _Frame(tuple(draw(barred(measures))), tuple(times), tuple(keys))


@st.composite
def barred(draw: st.DrawFn, measures: Sequence[Measure]) -> list[Measure]:
    """Measures with barlines, perhaps a repeat and its endings."""
    styles = st.sampled_from(["single", "single", "double", "dotted", "none", "final"])
    found = [replace(measure, right=draw(styles)) for measure in measures]
    last = len(found) - 1
    if draw(st.booleans()):
        end, begin = draw(st.integers(0, last)), 0
        found[end] = replace(found[end], repeat_end=True, right="final")
        if draw(st.booleans()):
            begin = draw(st.integers(0, end))
            found[begin] = replace(found[begin], repeat_start=True)
            if begin:
                found[begin - 1] = replace(found[begin - 1], right="double")
        if begin < end < last and draw(st.booleans()):
            for index in range(draw(st.integers(begin + 1, end)), end + 1):
                found[index] = replace(found[index], endings=(1, 3))
            found[end + 1] = replace(found[end + 1], endings=(2,))
    return found


@st.composite
def notes_in(draw: st.DrawFn, frame: _Frame) -> tuple[Note, ...]:
    """The notes of one voice, ties, beams and slurs among them."""
    found: list[Note] = []
    for measure in frame.measures:
        found.extend(draw(notes_of(measure, frame, first=not found)))
    found = _with_ties(found, draw(st.lists(st.integers(0, len(found)), max_size=3)))
    return _with_slurs(found, draw(st.lists(st.integers(0, len(found) - 1), max_size=6)))


@st.composite
def notes_of(draw: st.DrawFn, measure: Measure, frame: _Frame, first: bool) -> list[Note]:
    """Notes that fill one measure; the first of the voice is no rest."""
    time = [change.time for change in frame.times if change.onset_q <= measure.onset_q][-1]
    if not first and draw(rarely) and time and time.bar_q == measure.duration_q:
        return [Note(measure.onset_q, measure.duration_q, hidden=draw(st.booleans()))]
    found: list[Note] = []
    now_q = measure.onset_q
    while now_q < measure.end_q:
        left_q = measure.end_q - now_q
        if left_q >= 1 and draw(rarely):
            lengths: Sequence[Fraction] = draw(st.sampled_from(TRIPLETS_Q))
            tuplet = (3, 2)
        else:
            lengths, tuplet = [draw(st.sampled_from([q for q in VALUES_Q if q <= left_q]))], None
        for place, length_q in enumerate(lengths):
            rest = bool(found or not first) and draw(rarely)
            before = found[-1] if found else None
            hides = rest and tuplet is None and not (before and before.hidden)
            note = Note(now_q, length_q, tuplet=tuplet, hidden=hides and draw(st.booleans()))
            same = before is not None and before.tuplet == tuplet and (place > 0 or not tuplet)
            found.append(note if rest else draw(dressed(note, before if same else None)))
            now_q += length_q
    return found


@st.composite
def dressed(draw: st.DrawFn, note: Note, before: Note | None) -> Note:
    """A note with pitches and signs."""
    short = (
        before is not None and bool(before.pitches) and max(before.duration_q, note.duration_q) < 1
    )
    signed = draw(rarely)
    return replace(
        note,
        pitches=draw(chords) if draw(rarely) else (draw(pitches),),
        beamed=short and draw(st.booleans()),
        fermata=draw(rarely),
        breath=draw(rarely),
        fingering=draw(st.sampled_from([(), ("1",), ("5-4",), ("1", "3")])) if signed else (),
        decorations=draw(signs) if signed else (),
        graces=tuple(draw(st.lists(pitches, max_size=2))) if signed else (),
    )


def _with_ties(notes: list[Note], places: Sequence[int]) -> list[Note]:
    for place in places:
        pair = notes[place : place + 2]
        if len(pair) == 2 and all(note.pitches for note in pair):
            notes[place] = replace(pair[0], tied=True)
            held = {*pair[1].pitches, pair[0].pitches[0]} if place % 2 else pair[0].pitches
            joined = tuple(sorted(held, key=lambda pitch: (pitch.midi, pitch.diatonic)))
            notes[place + 1] = replace(pair[1], pitches=joined, tied=False)
    return notes


def _with_slurs(notes: list[Note], places: Sequence[int]) -> tuple[Note, ...]:
    """Slurs from one place to the next, some of them touching."""
    bounds = sorted({place for place in places if notes[place].pitches})
    for start, stop in zip(bounds[::2], bounds[1::2], strict=False):
        notes[start] = replace(notes[start], slurs_begin=notes[start].slurs_begin + 1)
        notes[stop] = replace(notes[stop], slurs_end=notes[stop].slurs_end + 1)
    if len(bounds) > 2:
        notes[bounds[1]] = replace(notes[bounds[1]], slurs_begin=1)
        notes[bounds[2]] = replace(notes[bounds[2]], slurs_end=notes[bounds[2]].slurs_end + 1)
    return tuple(notes)


@st.composite
def stanzas_under(draw: st.DrawFn, voice: Voice) -> tuple[Stanza, ...]:
    """Up to three stanzas under a voice, refrains left out of some of them."""
    numbers = sorted(draw(st.sets(st.integers(1, 9), max_size=3)))
    found = [Stanza(number, draw(syllables_under(voice)), voice.name) for number in numbers]
    return tuple(stanza for stanza in found if stanza.syllables)


@st.composite
def syllables_under(draw: st.DrawFn, voice: Voice) -> tuple[Syllable, ...]:
    """Syllables, melismas and unsung notes; a tie, slur or beam never leaves a syllable."""
    found: list[Syllable] = []
    led_to = reached(voice.notes)
    singing = False
    silent_from = draw(st.integers(0, 2 * len(voice.notes)))
    for index, note in enumerate(voice.notes):
        if not note.pitches:
            continue
        step = draw(st.sampled_from(["new", "new", "new", "hold", "stop"]))
        if index >= silent_from and not (singing and led_to[index]):
            step = "stop"
        if step == "new":
            text, joins = draw(syllable_texts), draw(rarely)
            found.append(Syllable(note.onset_q, note.end_q, text, joins))
            singing = True
        elif singing and (step == "hold" or led_to[index]):
            found[-1] = replace(found[-1], end_q=note.end_q)
        else:
            singing = False
    if found:
        found[-1] = replace(found[-1], joins_next=False)
    return tuple(found)
