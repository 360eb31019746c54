"""The Bach chorales of music21's corpus as hymns of four voices."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from music21 import bar, corpus, expressions

from suspirium.score.model import (
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
from suspirium.score.pitch import Pitch

NAMES = ("soprano", "alto", "tenor", "bass")


def read_chorales() -> Iterator[Hymn]:
    """Every work of Bach's in the corpus with exactly four sounding parts."""
    for path in corpus.getComposer("bach"):
        parts = [part for part in corpus.parse(path).parts if part.recurse().notes]
        if len(parts) == len(NAMES):
            yield chorale(parts, path.stem)


def chorale(parts: list[Any], title: str) -> Hymn:
    """One chorale; the words are those under the soprano."""
    voices = tuple(
        Voice(name, tuple(_notes(part)), index // 2, "treble" if index < 2 else "bass")
        for index, (name, part) in enumerate(zip(NAMES, parts, strict=True))
    )
    end_q = max(voice.notes[-1].end_q for voice in voices)
    syllables = tuple(_syllables(parts[0], end_q))
    return Hymn(
        title=title,
        voices=voices,
        measures=tuple(_measures(parts[0], end_q)),
        times=_times(parts[0]),
        keys=_keys(parts[0]),
        stanzas=(Stanza(1, syllables),) if syllables else (),
    )


def _q(value: Any) -> Fraction:
    return Fraction(value).limit_denominator(96)


def _notes(part: Any) -> Iterator[Note]:
    slurs: dict[int, list[int]] = {}
    for slur in part.recurse().getElementsByClass("Slur"):
        spanned = slur.getSpannedElements()
        if len(spanned) > 1:
            slurs.setdefault(id(spanned[0]), [0, 0])[0] += 1
            slurs.setdefault(id(spanned[-1]), [0, 0])[1] += 1
    end_q = Fraction(0)
    for item in part.flatten().notesAndRests:
        onset_q, duration_q = _q(item.offset), _q(item.quarterLength)
        if item.duration.isGrace or onset_q < end_q or duration_q <= 0:
            continue
        end_q = onset_q + duration_q
        begin, stop = slurs.get(id(item), [0, 0])
        beams = getattr(item, "beams", None)
        yield Note(
            onset_q,
            duration_q,
            () if item.isRest else tuple(sorted(map(_pitch, item.pitches), key=_midi)),
            tied=bool(item.tie and item.tie.type in ("start", "continue")),
            slurs_begin=begin,
            slurs_end=stop,
            beamed=bool(beams and any(b.type in ("continue", "stop") for b in beams.beamsList)),
            fermata=any(isinstance(e, expressions.Fermata) for e in item.expressions),
        )


def _pitch(pitch: Any) -> Pitch:
    return Pitch(pitch.step, int(pitch.alter), 4 if pitch.octave is None else pitch.octave)


def _midi(pitch: Pitch) -> int:
    return pitch.midi


def _syllables(part: Any, end_q: Fraction) -> Iterator[Syllable]:
    sung = [
        (_q(note.offset), note.lyrics[0])
        for note in part.flatten().notes
        if note.lyrics and note.lyrics[0].text
    ]
    ends = [*(onset for onset, _ in sung[1:]), end_q]
    for (onset, lyric), end in zip(sung, ends, strict=False):
        yield Syllable(onset, end, lyric.text, lyric.syllabic in ("begin", "middle"))


def _measures(part: Any, end_q: Fraction) -> Iterator[Measure]:
    measures = list(part.getElementsByClass("Measure"))
    numbers: set[int] = set()
    for index, measure in enumerate(measures):
        onset_q = _q(measure.offset)
        following_q = _q(measures[index + 1].offset) if index + 1 < len(measures) else end_q
        if following_q <= onset_q:
            continue
        time = measure.timeSignature
        short = index == 0 and time and following_q - onset_q < _q(time.barDuration.quarterLength)
        left, right = measure.leftBarline, measure.rightBarline
        kind = right.type if right is not None else ""
        yield Measure(
            0 if short else measure.number,
            onset_q,
            following_q - onset_q,
            {
                "light-light": "double",
                "double": "double",
                "final": "final",
                "light-heavy": "final",
            }.get(kind, "single"),
            repeat_start=isinstance(left, bar.Repeat),
            repeat_end=isinstance(right, bar.Repeat),
            continues=measure.number in numbers,
        )
        numbers.add(measure.number)


def _times(part: Any) -> tuple[TimeChange, ...]:
    found = tuple(
        TimeChange(_q(measure.offset), TimeSignature(time.numerator, time.denominator))
        for measure in part.getElementsByClass("Measure")
        if (time := measure.timeSignature)
    )
    return found or (TimeChange(Fraction(0), TimeSignature(4, 4)),)


def _keys(part: Any) -> tuple[KeyChange, ...]:
    found = tuple(
        KeyChange(_q(measure.offset), key.sharps)
        for measure in part.getElementsByClass("Measure")
        for key in measure.getElementsByClass("KeySignature")
    )
    return found or (KeyChange(Fraction(0), 0),)
