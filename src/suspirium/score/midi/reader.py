"""`read_midi`: a hymn from the bytes of a Standard MIDI file."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction

from suspirium.errors import Place, Remark, ScoreError
from suspirium.score.midi.file import MidiScore, read_file
from suspirium.score.midi.grid import Press, on_grid
from suspirium.score.midi.key import find_keys
from suspirium.score.midi.lyrics import find_words
from suspirium.score.midi.metre import Metre, find_metre, measures
from suspirium.score.midi.voices import Line, lines
from suspirium.score.model import Credit, Hymn, KeyChange, Measure, Note, Voice
from suspirium.score.naming import part_names
from suspirium.score.pitch import spelled

LONGEST_Q = 5_000  # quarters; no hymn with all its stanzas is longer
UNTOLD = Remark(
    "A MIDI file tells no slurs, fermatas, repeat signs or later stanzas, and no spelling "
    "of notes: look the score over before trusting its plan."
)


def read_midi(data: bytes) -> Hymn:
    """The hymn that a MIDI file plays; what had to be guessed is in its remarks.

    Standard MIDI files 1.0, formats 0 and 1. Raises `ScoreError`.
    """
    score = read_file(data)
    if score.keys[-1].onset > LONGEST_Q * score.ticks_per_quarter:
        raise ScoreError("The MIDI file is longer than any hymn.")
    presses, farthest_q = on_grid(score)
    metre = find_metre(score, presses)
    end_q = max(press.end_q for press in presses) - metre.start_q
    keys, key_told = find_keys(score, presses, metre.start_q)
    found = measures(metre, end_q)
    voices = _voices(score, lines(presses), metre.start_q, found, keys)
    stanzas, lost = find_words(score, voices[0].notes, metre.start_q, voices[0].name)
    return Hymn(
        title=score.names.get(0, ""),
        voices=voices,
        measures=found,
        times=metre.times,
        keys=keys,
        stanzas=stanzas,
        credits=tuple(Credit("copyright", text) for text in score.rights if text),
        quarter_bpm=round(60e6 / score.tempos[0][1], 3) if score.tempos else None,
        remarks=(UNTOLD, *_remarks(metre, key_told, farthest_q, lost)),
    )


def _remarks(metre: Metre, key_told: bool, farthest_q: Fraction, lost: int) -> Iterator[Remark]:
    if not metre.told:
        yield Remark("The file tells no time signature; 4/4 is taken.")
    if metre.guessed:
        text = f"A pickup of {metre.pickup_q} quarters is guessed from where long notes begin."
        yield Remark(text, Place(measure=0))
    if not key_told:
        yield Remark("The file tells no key; the one that fits most notes is taken.")
    if farthest_q > Fraction(1, 16):
        text = f"Notes were moved by up to {float(farthest_q):.2f} quarters to make a score."
        yield Remark(text)
    if lost:
        yield Remark(f"{lost} syllables stand where the melody begins no note and are left out.")


def _voices(
    score: MidiScore,
    found: Sequence[Line],
    start_q: Fraction,
    bars: Sequence[Measure],
    keys: Sequence[KeyChange],
) -> tuple[Voice, ...]:
    clefs = [_clef(line) for line in found]
    if len(found) == 4:
        clefs = ["treble", "treble", "bass", "bass"]
    streams = [{p.stream for _, _, presses in line for p in presses} for line in found]
    labels = [score.names.get(next(iter(s))[0], "") if len(s) == 1 else "" for s in streams]
    names = part_names(labels, clefs)
    return tuple(
        Voice(
            name,
            tuple(_notes(line, start_q, bars, keys)),
            staff=int("bass" in clefs[: i + 1]),
            clef=clefs[i],
        )
        for i, (name, line) in enumerate(zip(names, found, strict=True))
    )


def _clef(line: Line) -> str:
    pitches = [press.pitch for _, _, presses in line for press in presses]
    return "treble" if sum(pitches) >= 60 * len(pitches) else "bass"


def _notes(
    line: Line, start_q: Fraction, bars: Sequence[Measure], keys: Sequence[KeyChange]
) -> Iterator[Note]:
    """The voice's notes, cut at barlines and tied over them; rests between and after."""
    now_q = Fraction(0)
    for index, (begin_q, stop_q, presses) in enumerate(line):
        onset_q, end_q = begin_q - start_q, stop_q - start_q
        yield from _cut(now_q, onset_q, bars, keys, (), False)
        after = line[index + 1] if index + 1 < len(line) else None
        held = after is not None and after[0] == stop_q and bool(set(presses) & set(after[2]))
        yield from _cut(onset_q, end_q, bars, keys, presses, held)
        now_q = end_q
    yield from _cut(now_q, bars[-1].end_q, bars, keys, (), False)


def _cut(
    onset_q: Fraction,
    end_q: Fraction,
    bars: Sequence[Measure],
    keys: Sequence[KeyChange],
    presses: Sequence[Press],
    held: bool,
) -> Iterator[Note]:
    """One note, or its parts in several measures; `held` ties the last one on."""
    fifths = [key.fifths for key in keys if key.onset_q <= onset_q][-1]
    pitches = tuple(spelled(p, fifths) for p in sorted({press.pitch for press in presses}))
    first = bisect_right(bars, onset_q, key=lambda bar: bar.onset_q) - 1
    for bar in bars[max(0, first) :]:
        if bar.onset_q >= end_q:
            break
        begin_q, stop_q = max(onset_q, bar.onset_q), min(end_q, bar.end_q)
        if begin_q < stop_q:
            tied = bool(pitches) and (held or stop_q < end_q)
            yield Note(begin_q, stop_q - begin_q, pitches, tied=tied)
