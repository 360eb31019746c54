"""`read_abc`: a hymn from the text of an ABC file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from suspirium.errors import ScoreError
from suspirium.score.abc.bars import apart, measures
from suspirium.score.abc.credits import read_heading
from suspirium.score.abc.parts import Part, as_voice, split_chords
from suspirium.score.abc.remarks import (
    keys_apart,
    misfits,
    out_of_number,
    passed_over,
    silent_voices,
    transposed,
    unclosed,
)
from suspirium.score.abc.source import read_tune
from suspirium.score.abc.tune import TuneReader, VoiceTrack, in_order
from suspirium.score.abc.words import plain_stanzas
from suspirium.score.model import Annotation, Hymn, KeyChange, Stanza, TimeChange, Voice
from suspirium.score.naming import part_names
from suspirium.score.words import shared_refrains

Change = TypeVar("Change", TimeChange, KeyChange)


def read_abc(text: str) -> Hymn:
    """The first tune of an ABC file as a hymn; what was passed over is in its remarks.

    Standard: ABC 2.1. Raises `ScoreError` where the text is no ABC tune with notes.
    """
    source = read_tune(text)
    tune = TuneReader(source)
    heading = read_heading(source.header)
    sung = _sung_voices(tune)
    tracks, names = sung.tracks, sung.names
    times = _changes(tracks, lambda track: track.reader.times)
    bars = [track.reader.bars for track in tracks]
    ends_q = [track.reader.now_q for track in tracks]
    found = measures(bars, times, sung.end_q)
    stanzas, other_words = _words(tracks, names)
    numbers, plain = plain_stanzas(tune.plain_lines)
    return Hymn(
        title=heading.title,
        voices=sung.voices,
        measures=found,
        times=times,
        keys=_changes(tracks, lambda track: track.reader.keys),
        stanzas=stanzas,
        other_words=other_words,
        plain_stanzas=plain,
        refrains=shared_refrains(stanzas, sung.end_q),
        annotations=_annotations(tracks),
        tune=heading.tune,
        metre=heading.metre,
        credits=heading.credits,
        quarter_bpm=tune.bpm,
        remarks=(
            *tune.remarks,
            *silent_voices(tune.tracks.values(), tracks),
            *passed_over(tracks, names),
            *transposed(tracks, names),
            *keys_apart(tracks, names),
            *apart(names, bars, ends_q, found),
            *misfits(tracks, names, found),
            *unclosed(found),
            *out_of_number(numbers, stanzas),
        ),
    )


@dataclass(frozen=True, slots=True)
class _Sung:
    """The voices that have notes; `names` are those of the tracks' highest parts."""

    tracks: list[VoiceTrack]
    names: list[str]
    voices: tuple[Voice, ...]
    end_q: Fraction


def _sung_voices(tune: TuneReader) -> _Sung:
    rows = in_order(tune.tracks.values(), tune.staves)
    rows = [(staff, track) for staff, track in rows if track.sings]
    if not rows:
        raise ScoreError("The ABC file has a header but no notes: is its end missing?")
    end_q = max(track.reader.now_q for _, track in rows)
    parts: list[Part] = []
    for staff, track in rows:
        clef = tune.clef(track) or _clef_of_staff(rows, staff)
        parts += [
            Part(layer, staff, clef, track.said.name or track.ident, track.ident)
            for layer in track.reader.layers(end_q)
        ]
    parts = split_chords(parts)
    names = part_names([part.label for part in parts], [part.clef for part in parts])
    highest = {p.ident: name for p, name in zip(parts[::-1], names[::-1], strict=True)}
    voices = tuple(as_voice(part, name) for part, name in zip(parts, names, strict=True))
    return _Sung([t for _, t in rows], [highest[t.ident] for _, t in rows], voices, end_q)


def _clef_of_staff(rows: Sequence[tuple[int, VoiceTrack]], staff: int) -> str:
    """The clef another voice of the staff asks for, else one that suits its pitches."""
    same = [track for number, track in rows if number == staff]
    said = next((track.said.clef for track in same if track.said.clef), "")
    if said:
        return said
    pitches = [p.midi for t in same for event in t.reader.events for p in event.pitches]
    return "treble" if sum(pitches) >= 60 * len(pitches) else "bass"


def _changes(
    tracks: Sequence[VoiceTrack], of: Callable[[VoiceTrack], list[Change]]
) -> tuple[Change, ...]:
    """Changes of time or key in any voice; at one onset the highest voice's holds."""
    found: dict[Fraction, Change] = {}
    for track in tracks:
        for change in of(track):
            found.setdefault(change.onset_q, change)
    return tuple(found[onset_q] for onset_q in sorted(found))


def _annotations(tracks: Sequence[VoiceTrack]) -> tuple[Annotation, ...]:
    found = {note for track in tracks for note in track.reader.annotations}
    return tuple(Annotation(onset_q, text) for onset_q, text in sorted(found))


def _words(
    tracks: Sequence[VoiceTrack], names: Sequence[str]
) -> tuple[tuple[Stanza, ...], tuple[Stanza, ...]]:
    """Stanzas under the first voice that has words, and those under the others."""
    found = [
        track.layer.stanzas(track.reader.events, name)
        for track, name in zip(tracks, names, strict=True)
    ]
    found = [stanzas for stanzas in found if stanzas]
    if not found:
        return (), ()
    return found[0], tuple(stanza for stanzas in found[1:] for stanza in stanzas)
